"""Control circuits by ngspice; writes control_ngspice.csv.

direct:   24 V behind 2 ohm feed, through one contact, a relay coil of 22 ohm and 0.35 H with a
          freewheel diode (saturation 2.52 nA, emission 1.752 at 300.15 K, 0.568 ohm) and beside it a
          small one of 480 ohm and 2.2 H without. The contact closes at 0.1 s, opens at 0.6 s.
          Currents [A] over time, transient analysis in steps of at most 2 us.
open:     120 V 60 Hz behind 1.5 ohm feed a coil of 45.8843 ohm whose gap is open, 0.26843 H: the
          inrush; beside it one that is seated, 1.7642 H. Currents [A], small-signal analysis.
shorted:  the same feed, one seated coil of which a fifth of the turns is short-circuited: two
          coupled windings, coupling 0.95. Inductance goes with the square of the turns.

No random numbers, hence no seed. Not needed to run the tests; ngspice must be on the path. To run:
python3 control_ngspice.py > control_ngspice.csv
"""
import re
import subprocess
import sys
import tempfile
from pathlib import Path

DIRECT = """direct
VS s 0 24
RS s c 1.999
S1 c n g 0 contact
VG g 0 PWL(0 0 0.0999999 0 0.1 1 0.5999999 1 0.6 0)
.model contact SW(VT=0.5 VH=0 RON=1m ROFF=1G)
V1 n a 0
R1 a b 22
L1 b 0 0.35
D1 0 n free
.model free D(IS=2.52n N=1.752 RS=0.568 TT=0 CJO=0)
V2 n d 0
R2 d e 480
L2 e 0 2.2
.options temp=27 reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear maxord=2
.control
tran 2u 0.75 0 2u
%s
.endc
.end
"""

OPEN = """open
VS s 0 DC 0 AC 120
RS s n 1.5
V1 n a 0
R1 a b 45.8843
L1 b 0 0.26843
V2 n d 0
R2 d e 45.8843
L2 e 0 1.7642
.control
ac lin 1 60 60
print mag(i(V1)) mag(i(V2))
.endc
.end
"""

SHORTED = """shorted
VS s 0 DC 0 AC 120
RS s n 1.5
V1 n a 0
R1 a b {45.8843*0.8}
L1 b 0 {1.7642*0.64}
L2 0 t {1.7642*0.04}
R2 t 0 {45.8843*0.2}
K1 L1 L2 0.95
.control
ac lin 1 60 60
print mag(i(V1))
.endc
.end
"""

TIMES = ([0.1 + 0.002 * k for k in range(1, 40)] + [0.3, 0.5, 0.598]
         + [0.6 + 0.002 * k for k in range(1, 50)])


def run(netlist):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "circuit.cir"
        path.write_text(netlist)
        done = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True)
        return done.stdout + done.stderr


def numbers(text, what):
    found = re.findall(re.escape(what) + r"\s*=\s*([-+.\deE]+)", text)
    assert found, text
    return [float(x) for x in found]


def main():
    version = subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout
    release = re.search(r"ngspice-(\S+)", version).group(1)
    print("# Control circuits by control_ngspice.py, Python %d.%d.%d, ngspice %s; no seed"
          % (*sys.version_info[:3], release))
    print("circuit,quantity,value")
    asked = "\n".join("meas tran a%d find i(V%d) at=%.6f" % (10 * k + j, j, t)
                      for k, t in enumerate(TIMES) for j in (1, 2))
    text = run(DIRECT % asked)
    for k, t in enumerate(TIMES):
        for j in (1, 2):
            print("direct,i%d at %.3f s,%.9g" % (j, t, numbers(text, "a%d" % (10 * k + j))[0]))
    text = run(OPEN)
    print("open,i1,%.9g" % numbers(text, "mag(i(v1))")[0])
    print("open,i2,%.9g" % numbers(text, "mag(i(v2))")[0])
    print("shorted,i1,%.9g" % numbers(run(SHORTED), "mag(i(v1))")[0])


if __name__ == "__main__":
    main()
