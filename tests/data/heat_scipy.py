"""An alternating-current coil that never seals, warming from 25 degC; prints what heat.rs quotes.

120 V 60 Hz; 1.08 A at 25 degC through 45 ohm at 20 degC, copper 3.93e-3 /K; 10 K/W to 25 degC,
80 J/K. Either the voltage is held, so that the current falls as the copper warms, or the current.

Not needed to run the tests. To run: python3 heat_scipy.py
"""
import numpy as np
from scipy.integrate import solve_ivp


def ohm(celsius):
    return 45.0 * (1 + 3.93e-3 * (celsius - 20))


REACTANCE2 = (120 / 1.08) ** 2 - ohm(25.0) ** 2


def warms(current2):
    levels = [lambda _, t, level=level: t[0] - level for level in (130.0, 155.0, 180.0)]
    done = solve_ivp(lambda _, t: [(current2(t[0]) * ohm(t[0]) - (t[0] - 25) / 10) / 80], (0, 400),
                     [25.0], method="DOP853", rtol=1e-11, atol=1e-9, events=levels)
    return [round(float(times[0]), 3) for times in done.t_events]


print("voltage held:", warms(lambda t: 120**2 / (ohm(t) ** 2 + REACTANCE2)))
print("current held:", warms(lambda t: 1.08**2))
