"""Area and length of a ring of points, by shapely: [[x, y], ...] on standard input, [area, length] on standard output."""

import json
import sys

from shapely.geometry import Polygon

ring = Polygon(json.load(sys.stdin))
assert ring.is_valid, "the outline crosses itself"
print(json.dumps([ring.area, ring.length]))
