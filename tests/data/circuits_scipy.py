"""Fluid circuits by scipy's stiff solvers; writes circuits_scipy.csv.

Each circuit is written here from its equations and from the figures of its data sheets alone:

  orifice    Q = Qr sign(dp) sqrt(|dp| / dpr), laminar below 2000 Pa
  pump       Q = V n - k p, k from the volumetric efficiency at the rated pressure
  relief     Q = Qr (p - crack) / (setting - crack) above cracking
  volume     strain e = p / K - a p0 / p in absolute pressures, de/dt = (sum Q) / V; K 1.4 GPa and
             a = 0.1 % of free air at p0, so that no pressure falls below vacuum
  cylinder   F = p1 A1 - p2 A2 - load, speed = (|F| - friction) / viscous, in the sense of F
  motor      torque V dp / (2 pi), speed = (torque - friction) / viscous
  air        ISO 6358: qm = C p1 rho0 psi, isothermal volumes, dp/dt = R T / V (sum qm)

Strokes are timed between two positions on the way, so that neither a valve's shifting nor a stop
counts. Steady pressures are those at a position well after the start.

BDF (oil) and Radau (air) with relative tolerances of 1e-9; no random numbers, hence no seed.
Not needed to run the tests. To run: python3 circuits_scipy.py > circuits_scipy.csv
"""
import sys
from math import pi, sqrt

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

P0 = 101325.0
L_MIN = 1 / 60000
BAR = 1e5
BULK, FREE_AIR = 1.4e9, 0.001

OUT = []


def put(circuit, what, value):
    OUT.append("%s,%s,%.9g" % (circuit, what, value))


def orifice(dp, l_min, bar):
    gain = l_min * L_MIN / sqrt(bar * BAR)
    return gain * dp / (dp * dp + 2000.0**2) ** 0.25


def check(dp, crack, l_min, bar):
    return orifice(dp - crack * BAR, l_min, bar) if dp > crack * BAR else 0.0


def relief(p, crack, full, l_min):
    return l_min * L_MIN * max(0.0, p - crack * BAR) / ((full - crack) * BAR)


def leak(dp, cm3_min):
    return cm3_min * 1e-6 / 60 * dp / (100 * BAR)


def strain(p):
    absolute = p + P0
    return absolute / BULK - FREE_AIR * P0 / absolute


def pressure(e):
    root = sqrt(e * e + 4 * FREE_AIR * P0 / BULK)
    absolute = BULK / 2 * (e + root) if e > 0 else 2 * FREE_AIR * P0 / (root - e)
    return absolute - P0


class Cylinder:
    def __init__(self, bore, rod, stroke, friction, load, viscous=2000.0, curve=None):
        self.cap, self.rod = pi / 4 * bore**2, pi / 4 * (bore**2 - rod**2)
        self.stroke, self.friction, self.constant = stroke, friction, load
        self.viscous, self.curve = viscous, curve

    def load(self, s):
        along = 0.0 if self.curve is None else np.interp(s, *zip(*self.curve))
        return self.constant + along

    def speed(self, a, b, s):
        force = a * self.cap - b * self.rod - self.load(s)
        over = abs(force) - self.friction
        return np.sign(force) * over / self.viscous if over > 0 else 0.0


def stroke(circuit, name, cylinder, litres, supply, to_cap, from_cap, start, marks, looks,
           seeps=True):
    """A supply line P and the two sides A and B of a cylinder, from rest at `start` [m].

    `supply(p)` is what pump and relief give; `to_cap(p, a)`, `from_cap(b)` are the paths in
    extension; retracting they go to B and from A. `marks`: two positions between which it is timed.
    `looks`: positions at which the pressures are written. `seeps`: the valve's clearances drain
    both sides; not so where something lies between valve and cylinder.
    """
    out = marks[1] > marks[0]

    def rates(_, y):
        p, a, b = map(pressure, y[:3])
        s = y[3]
        v = cylinder.speed(a, b, s)
        if (s <= 0 and v < 0) or (s >= cylinder.stroke and v > 0):
            v = 0.0
        if out:
            qa, qb = to_cap(p, a), -from_cap(b)
            taken = qa
        else:
            qb, qa = to_cap(p, b), -from_cap(a)
            taken = qb
        qa -= leak(a, 5)
        if seeps:
            qb -= leak(b, 5)
        va = litres[1] + 1e3 * cylinder.cap * s
        vb = litres[2] + 1e3 * cylinder.rod * (cylinder.stroke - s)
        return [(supply(p) - taken - leak(p, 5)) / (1e-3 * litres[0]),
                (qa - cylinder.cap * v) / (1e-3 * va), (qb + cylinder.rod * v) / (1e-3 * vb), v]

    def event(at):
        def crossing(_, y):
            return y[3] - at
        crossing.direction = 1 if out else -1
        return crossing

    events = [event(at) for at in list(marks) + list(looks)]
    run = solve_ivp(rates, (0, 30), [strain(0.0)] * 3 + [start], method="BDF", rtol=1e-9,
                    atol=[1e-13, 1e-13, 1e-13, 1e-12], events=events)
    times = [t[0] for t in run.t_events]
    put(circuit, name + " stroke s", times[1] - times[0])
    for k, at in enumerate(looks):
        p, a, b = map(pressure, run.y_events[2 + k][0][:3])
        for tag, value in (("P", p), ("A", a), ("B", b)):
            put(circuit, "%s %s at %g mm bar" % (name, tag, at * 1e3), value / BAR)


def pump(cm3, rpm, efficiency, p):
    ideal = cm3 * 1e-6 * rpm / 60
    return ideal - ideal * (1 - efficiency) * p / (100 * BAR)


def pusher():
    cylinder = Cylinder(0.05, 0.028, 0.4, 300, 1500)

    def supply(p):
        return pump(8, 1450, 0.95, p) - relief(p, 65, 70, 12)

    def to(p, a):
        return orifice(p - a, 20, 6)

    def away(b):
        return orifice(b, 20, 6)

    litres = (0.4, 0.2, 0.2)
    stroke("pusher", "out", cylinder, litres, supply, to, away, 0.0, (0.05, 0.35), (0.2,))
    # It comes back with a void behind it, which the pump fills on the first half of the way.
    stroke("pusher", "in", cylinder, litres, supply, to, away, 0.4, (0.15, 0.03), (0.05,))


def press():
    cylinder = Cylinder(0.08, 0.045, 0.25, 500, -1200, curve=[(0.18, 0.0), (0.24, 55e3)])

    def supply(p):
        return pump(11, 1450, 0.95, p) - relief(p, 112, 120, 16)

    def to(p, a):
        return orifice(p - a, 20, 6)

    def away(b):
        return orifice(b, 20, 6)

    litres = (0.5, 0.3, 0.3)
    stroke("press", "down", cylinder, litres, supply, to, away, 0.0, (0.05, 0.17), (0.15,))
    stroke("press", "into the clay", cylinder, litres, supply, to, away, 0.0, (0.05, 0.235), (0.23,))
    stroke("press", "up", cylinder, litres, supply, to, away, 0.17, (0.13, 0.02), (0.05,))


def metered():
    """Meter-out: a one-way throttle of 5 L/min at 30 bar between rod side and valve."""
    cylinder = Cylinder(0.05, 0.028, 0.4, 200, 3000)

    def supply(p):
        return pump(8, 1500, 0.95, p) - relief(p, 92, 100, 12)

    def to(p, a):
        return orifice(p - a, 20, 6)

    def away(b):
        def left(r):
            return orifice(b - r, 5, 30) - orifice(r, 20, 6) - leak(r, 5)
        # What comes through the throttle goes on through the valve and past its spool.
        r = brentq(left, min(0.0, b), max(0.0, b), xtol=1e-9, rtol=1e-14) if b else 0.0
        return orifice(b - r, 5, 30)

    stroke("metered", "out", cylinder, (0.5, 0.1, 0.1), supply, to, away, 0.0, (0.05, 0.35), (0.2,),
           seeps=False)


def winch():
    """Pressure-compensated pump, strainer, valve, hose, motor, return filter with bypass."""
    volume, friction = 40e-6, 20.0
    viscous = 5.0 / (2 * pi * 1000 / 60)

    def motor(dp):
        torque = volume / (2 * pi) * dp
        over = abs(torque) - friction
        return np.sign(torque) * over / viscous / (2 * pi) if over > 0 else 0.0

    def flows(y):
        s, p, work, m, out, ret = map(pressure, y)
        swash = min(1.0, max(0.0, (p - 112 * BAR) / (8 * BAR)))
        pumped = 16e-6 * 1450 / 60 * (1 - swash)
        case = 16e-6 * 1450 / 60 * 0.05 * p / (100 * BAR)
        pa, bt = orifice(p - work, 20, 6), orifice(out - ret, 20, 6)
        hose = orifice(work - m, 20, 3)
        turning = volume * motor(m - out)
        slip = leak(m - out, 100)
        to_case = leak(m, 50), leak(out, 50)
        # Clearance leakage of the valve to its T.
        seep = [leak(x - ret, 5) for x in (p, work, out)]
        strainer = orifice(-s, 40, 0.05)
        filtered = orifice(ret, 24, 0.4) + check(ret, 3, 24, 1)
        return np.array([strainer - pumped, pumped - case - pa - seep[0], pa - hose - seep[1],
                         hose - turning - slip - to_case[0],
                         turning + slip - to_case[1] - bt - seep[2],
                         bt + sum(seep) - filtered]), motor(m - out)

    m3 = 1e-3 * np.array((0.5, 0.4, 0.2, 0.2, 0.1, 0.1))
    run = solve_ivp(lambda _, y: flows(y)[0] / m3, (0, 60), np.full(6, strain(1.0)), method="BDF",
                    rtol=1e-9, atol=1e-13)
    end = run.y[:, -1]
    left, speed = flows(end)
    assert np.abs(left).max() < 1e-12, left
    for tag, value in zip(("suction", "pressure", "work", "motor", "out", "return"), end):
        put("winch", "%s bar" % tag, pressure(value) / BAR)
    put("winch", "speed rpm", speed * 60)


RT = 287.05 * 293.15
RHO0 = 1.185


def sonic(up, down, c, b):
    """Mass flow [kg/s], absolute pressures, C in dm3/(s bar)."""
    if up < down:
        return -sonic(down, up, c, b)
    ratio = down / up
    psi = 1.0 if ratio <= b else sqrt(max(0.0, 1 - ((ratio - b) / (1 - b)) ** 2))
    return c * 1e-8 * RHO0 * up * psi


def tank():
    """A main of 7 bar gauge behind C 10, a slide of C 4, a receiver of 5 L; and out again."""
    main = 7 * BAR + P0

    def fill(_, y):
        line, store = y
        inflow = sonic(main, line, 10, 0.3)
        onward = sonic(line, store, 4, 0.3)
        return [RT / 0.1e-3 * (inflow - onward), RT / 5e-3 * onward]

    def passing(bar, column):
        def event(_, y):
            return y[column] - bar * BAR - P0
        return event

    bars = (1, 2, 3, 4, 5, 6, 6.5)
    run = solve_ivp(fill, (0, 10), [main, P0], method="Radau", rtol=1e-9, atol=1e-3,
                    events=[passing(bar, 1) for bar in bars])
    for bar, times in zip(bars, run.t_events):
        put("tank", "filled to %g bar s" % bar, times[0])
    bars = (5, 3, 2, 1, 0.3)
    run = solve_ivp(lambda _, y: [-RT / 5e-3 * sonic(y[0], P0, 4, 0.3)], (0, 20), [6.5 * BAR + P0],
                    method="Radau", rtol=1e-9, atol=1e-3, events=[passing(bar, 0) for bar in bars])
    for bar, times in zip(bars, run.t_events):
        put("tank", "emptied to %g bar s" % bar, times[0])


def main():
    for circuit in (pusher, press, metered, winch, tank):
        circuit()
    print("# Fluid circuits by circuits_scipy.py, Python %d.%d.%d, numpy %s, scipy %s; no seed"
          % (*sys.version_info[:3], np.__version__, scipy.__version__))
    print("circuit,quantity,value")
    print("\n".join(OUT))


if __name__ == "__main__":
    main()
