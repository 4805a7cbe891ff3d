"""Two coils in parallel behind one contact, each with a freewheel diode; writes coils_scipy.csv.

24 V behind 2 ohm; coil 1: 22 ohm, 0.35 H; coil 2: 480 ohm, 2.2 H. The contact closes at 0.1 s and
opens at 0.6 s. Diodes: saturation 2.52 nA, emission 1.752 at 300.15 K, 0.568 ohm in series; both
stand on the same node, so they share the current evenly.

Closed, the pair is linear: matrix exponential. Open, DOP853 on the two currents with the diode's
voltage in closed form from their sum, until the sum falls below 0.1 uA; from there the coils are
one loop and die together. The second current turns negative on the way: the first coil holds the
node at a diode's drop below zero after the second has run out.

Not needed to run the tests. To run: python3 coils_scipy.py > coils_scipy.csv
"""
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.linalg import expm

SUPPLY_V, SUPPLY_OHM = 24.0, 2.0
OHM = np.array([22.0, 480.0])
HENRY = np.array([0.35, 2.2])
CLOSES, OPENS = 0.1, 0.6
EMISSION_V = 1.752 * 1.380649e-23 * 300.15 / 1.602176634e-19
SATURATION_A, SERIES_OHM = 2.52e-9, 0.568

GAIN = -(np.diag(OHM) + SUPPLY_OHM) / HENRY[:, None]
FINAL = np.linalg.solve(-GAIN, SUPPLY_V / HENRY)


def closed(seconds):
    return FINAL - expm(GAIN * seconds) @ FINAL


def drop(total):
    each = total / 2
    return EMISSION_V * np.log1p(max(each, 0.0) / SATURATION_A) + SERIES_OHM * each


def opened():
    def rate(_, i):
        return (-drop(i.sum()) - OHM * i) / HENRY

    def spent(_, i):
        return i.sum() - 1e-7

    spent.terminal = True
    return solve_ivp(rate, (0, 0.4), closed(OPENS - CLOSES), method="DOP853", rtol=1e-11,
                     atol=1e-14, dense_output=True, events=spent)


def main():
    free = opened()
    blocked = free.t[-1]
    loop_s = HENRY.sum() / OHM.sum()

    def at(t):
        if t < CLOSES:
            return np.zeros(2)
        if t <= OPENS:
            return closed(t - CLOSES)
        since = t - OPENS
        if since <= blocked:
            return free.sol(since)
        loop = free.sol(blocked)[0] * np.exp((blocked - since) / loop_s)
        return np.array([loop, -loop])

    print("# Coil currents by coils_scipy.py, Python %d.%d.%d, numpy %s, scipy %s"
          % (*sys.version_info[:3], np.__version__, scipy.__version__))
    print("t_s,i1_a,i2_a")
    times = np.concatenate([np.arange(0, 0.1, 0.02), np.arange(0.1, 0.2, 0.005),
                            np.arange(0.2, 0.6, 0.05), [0.599999], np.arange(0.605, 0.75, 0.005),
                            np.arange(0.75, 1.0001, 0.05)])
    for t in np.unique(np.round(times, 6)):
        print("%.6f,%.9f,%.9f" % (t, *at(t)))


if __name__ == "__main__":
    main()
