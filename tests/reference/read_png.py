"""Reads pictures with another reader of PNG (pypng, MIT) and prints what it finds in each:
size, bits, the numbers of its chunk cICP, lowest and highest value of each channel.

Run: python3 tests/reference/read_png.py FILE...
"""

import sys

import png

for name in sys.argv[1:]:
    width, height, rows, info = png.Reader(filename=name).read()
    values = [list(row) for row in rows]
    channels = [[v for row in values for v in row[c::info["planes"]]] for c in range(info["planes"])]
    chunks = dict(png.Reader(filename=name).chunks())
    print(name, f"{width} x {height}", f"{info['bitdepth']} bits", "cICP", list(chunks.get(b"cICP", b"")),
          [(min(c), max(c)) for c in channels])
