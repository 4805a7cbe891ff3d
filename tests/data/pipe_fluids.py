"""Friction factors of round pipes by the package `fluids`; writes pipe_fluids.csv.

Darcy factor for laminar flow and by the exact solution of the formula of Colebrook. Not needed to run the
tests. To run: python3 pipe_fluids.py > pipe_fluids.csv
"""
import sys

import fluids

print(f"# Friction factors by pipe_fluids.py, Python {sys.version.split()[0]}, fluids {fluids.__version__}")
print("reynolds,relative_roughness,darcy_factor")
for relative in (0.0, 1e-5, 1e-4, 1e-3, 1e-2):
    for reynolds in (10.0, 553.58, 1000.0, 1900.0, 4500.0, 1e4, 3e4, 1e5, 1e6):
        method = "laminar" if reynolds < 2000 else "Colebrook"
        factor = 64 / reynolds if method == "laminar" else fluids.friction.Colebrook(reynolds, relative)
        if method == "laminar":
            assert abs(factor / fluids.friction.friction_laminar(reynolds) - 1) < 1e-12
        print(f"{reynolds!r},{relative!r},{factor:.10f}")
