#!/usr/bin/env python3
"""Puts drawings side by side: side_by_side.py DRAWING.svg... > ALL.svg"""

import re
import sys
from pathlib import Path

PIXELS_PER_MODULE = 9

inner, width, height = [], 0, 0
for name in sys.argv[1:]:
    text = Path(name).read_text()
    text = re.sub(r"<\?xml[^>]*\?>\s*", "", text)
    wide, high = map(int, re.search(r'viewBox="0 0 (\d+) (\d+)"', text).groups())
    place = f'x="{width}" y="0" width="{wide}" height="{high}"'
    inner.append(re.sub(r'width="[^"]*" height="[^"]*"', place, text, count=1))
    width, height = width + wide, max(height, high)
print(
    f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
    f' width="{PIXELS_PER_MODULE * width}" height="{PIXELS_PER_MODULE * height}">'
)
print(f'<rect width="{width}" height="{height}" fill="#ffffff"/>')
print("".join(inner) + "</svg>")
