"""A bladder accumulator charged, blocked and dumped; writes accumulator_scipy.csv.

4 L of gas, precharge 50 bar gauge; 12 L/min from 0 s until a flat relief at 120 bar takes over;
blocked from 20 s; from 30 s dumped through a sharp-edged 2 mm orifice, discharge coefficient 0.62,
oil of 870 kg/m3, until the bladder fills the shell, from where the oil is at 0 bar. p V^n constant
with absolute pressures, n = 1 and n = 1.4, no exchange of heat, oil incompressible.

Not needed to run the tests. To run: python3 accumulator_scipy.py > accumulator_scipy.csv
"""
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp

ATMOSPHERE = 101325.0
SHELL = 4e-3
LOW, HIGH = 50e5 + ATMOSPHERE, 120e5 + ATMOSPHERE
PUMP = 12 / 60000
ORIFICE = 0.62 * np.pi / 4 * 2e-3**2 * np.sqrt(2 / 870)


def case(n):
    least = SHELL * (LOW / HIGH) ** (1 / n)

    def gauge(gas):
        return LOW * (SHELL / gas) ** n - ATMOSPHERE

    def empty(_, gas):
        return gas[0] - SHELL

    empty.terminal = True
    dump = solve_ivp(lambda _, gas: [ORIFICE * np.sqrt(gauge(min(gas[0], SHELL)))], (0, 60),
                     [least], method="DOP853", rtol=1e-11, atol=1e-14, events=empty,
                     dense_output=True)

    def bar(t):
        if t < 30:
            return gauge(max(least, SHELL - PUMP * t)) / 1e5
        if t - 30 >= dump.t[-1]:
            return 0.0
        return gauge(dump.sol(t - 30)[0]) / 1e5

    return bar


def main():
    slow, fast = case(1.0), case(1.4)
    print("# Accumulator pressures by accumulator_scipy.py, Python %d.%d.%d, numpy %s, scipy %s"
          % (*sys.version_info[:3], np.__version__, scipy.__version__))
    print("t_s,slow_bar,fast_bar")
    for t in np.concatenate([np.arange(0, 12.1, 0.5), np.arange(14, 30, 2), np.arange(30, 50, 0.5)]):
        print("%.2f,%.6f,%.6f" % (t, slow(t), fast(t)))


if __name__ == "__main__":
    main()
