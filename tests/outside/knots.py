"""Judges diagrams of the thread with a general knot library (spherogram, of the SnapPy project).

Reads a list of cases as JSON: planar-diagram codes of a piece taken off the needles unsecured ("loose"), of the same
piece as it ends ("fast"), and of the loose one with each crossing turned over ("flips"). For each case it says whether
the loose piece simplifies to nothing (each yarn of it, where there are several), whether an invariant tells the fast
one from the unknot, and whether some flip makes a true knot.

The invariant is the Alexander polynomial (Alexander 1928) at t = -1, the determinant, and at t = 2, both modulo a
prime: the unknot has determinant 1 and plus or minus a power of t. A failure to simplify proves nothing; a value of the
invariant that the unknot cannot have proves a knot. The invariant itself is checked first against the knot table.
"""
import json
import sys

import numpy as np
import spherogram

P = 2**31 - 1


def link(pd):
    return spherogram.Link([tuple(c) for c in pd])


def eliminated(m):
    """Determinant of a square matrix modulo P."""
    m = m % P
    n, det = len(m), 1
    for i in range(n):
        pivots = np.nonzero(m[i:, i])[0]
        if len(pivots) == 0:
            return 0
        j = i + int(pivots[0])
        if j != i:
            m[[i, j]] = m[[j, i]]
            det = -det
        det = det * int(m[i, i]) % P
        row = m[i] * pow(int(m[i, i]), P - 2, P) % P
        below = m[i + 1 :, i].copy()
        m[i + 1 :] = (m[i + 1 :] - below[:, None] * row[None, :]) % P
    return det % P


def alexander(pd, t):
    """The Alexander polynomial of a knot's diagram at t, modulo P, up to a sign and a power of t."""
    n = len(pd)
    # Edges that meet as the upper strand of a crossing are one arc.
    parent = list(range(2 * n + 1))

    def root(e):
        while parent[e] != e:
            e = parent[e]
        return e

    for a, b, c, d in pd:
        parent[root(b)] = root(d)
    arcs = {r: i for i, r in enumerate(sorted({root(e) for e in range(1, 2 * n + 1)}))}
    m = np.zeros((n, len(arcs)), dtype=np.int64)
    for i, (a, b, c, d) in enumerate(pd):
        over, into, out = arcs[root(b)], arcs[root(a)], arcs[root(c)]
        # The upper strand goes from d to b at a positive crossing, from b to d at a negative one.
        positive = b == d + 1 or (d > b + 1)
        x, y = (into, out) if positive else (out, into)
        m[i, over] += 1 - t
        m[i, x] += t
        m[i, y] -= 1
    return eliminated(m[1:, 1 : n])


def knotted(pd):
    """Whether the invariant proves that the diagram is not an unknot."""
    if not pd:
        return False
    det = alexander(pd, -1)
    if det not in (1, P - 1):
        return True
    value = alexander(pd, 2)
    powers, x = set(), 1
    half = pow(2, P - 2, P)
    for _ in range(len(pd) + 2):
        powers |= {x, P - x}
        x = x * 2 % P
    x = 1
    for _ in range(len(pd) + 2):
        powers |= {x, P - x}
        x = x * half % P
    return value not in powers


def renumbered(k):
    """The code of a knot with its edges numbered from 1."""
    return [tuple(e + 1 for e in c) for c in k.PD_code(min_strand_index=0)]


def simplified(k):
    k.simplify("global")
    for _ in range(20):
        if len(k.crossings) == 0:
            break
        k.backtrack(30)
        k.simplify("global")
    return len(k.crossings)


def known():
    """Determinants of the table: trefoil 3, figure-eight 5, 5_1 5, 7_4 15; and no knot where there is none."""
    for name, det in [("3_1", 3), ("4_1", 5), ("5_1", 5), ("7_4", 15)]:
        pd = renumbered(spherogram.Link(name))
        assert alexander(pd, -1) in (det, P - det), name
        assert knotted(pd), name
    kinked = [(1, 2, 2, 3), (3, 1, 4, 4)]
    assert not knotted(kinked)


def judge(case):
    loose, fast, problems = case["loose"], case["fast"], []
    k = link(loose["pd"])
    several = loose["components"] > 1
    if several:
        # Each yarn by itself ravels; how they lie round each other is reported, not judged.
        for i in range(len(k.link_components)):
            alone = link(loose["pd"]).sublink([i])
            if simplified(alone):
                problems.append(f"yarn {i + 1} does not ravel")
    else:
        if len(k.link_components) != 1:
            problems.append("it is not one yarn")
        left = simplified(k)
        if left:
            problems.append(f"unsecured it does not simplify: {left} crossings stay")
        if not knotted(fast["pd"]):
            problems.append("secured it is not proved a knot")
        if knotted(loose["pd"]):
            problems.append("the invariant says that it does not ravel")
        if not any(knotted(f) for f in case["flips"]):
            problems.append("no flipped crossing knots")
    return problems


def main():
    known()
    bad = 0
    for case in json.load(sys.stdin):
        problems = judge(case)
        verdict = "; ".join(problems) if problems else "as it should be"
        bad += bool(problems)
        sizes = f"{len(case['loose']['pd'])} and {len(case['fast']['pd'])} crossings"
        print(f"{case['name']}: {sizes}, yarns {case['loose']['components']}: {verdict}", flush=True)
    sys.exit(1 if bad else 0)


main()
