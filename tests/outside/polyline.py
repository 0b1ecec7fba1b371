"""Length of a line through points, by shapely: [[x, y], ...] on standard input, the length on standard output."""

import json
import sys

from shapely.geometry import LineString

print(LineString(json.load(sys.stdin)).length)
