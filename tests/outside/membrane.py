"""A square of orthotropic sheet, clamped at its foot, with a small load at its last corner: by scikit-fem (PyPI)."""

import json
import sys

import numpy as np
from skfem import Basis, BilinearForm, ElementTriP1, ElementVector, MeshTri, condense, solve

load = json.load(sys.stdin)
n = 6
points = np.array([[i, j] for j in range(n + 1) for i in range(n + 1)], dtype=float).T
triangles = []
for j in range(n):
    for i in range(n):
        a, b = j * (n + 1) + i, j * (n + 1) + i + 1
        c, d = b + n + 1, a + n + 1
        triangles += [[a, b, c], [a, c, d]]
mesh = MeshTri(points, np.array(triangles).T)
basis = Basis(mesh, ElementVector(ElementTriP1()))
across, along, both, shear = 1.0, 2.0, 0.4, 0.5


@BilinearForm
def stiffness(u, v, _):
    du, dv = u.grad, v.grad
    return (
        across * du[0, 0] * dv[0, 0]
        + along * du[1, 1] * dv[1, 1]
        + both * (du[0, 0] * dv[1, 1] + du[1, 1] * dv[0, 0])
        + shear * (du[0, 1] + du[1, 0]) * (dv[0, 1] + dv[1, 0])
    )


k = stiffness.assemble(basis)
f = np.zeros(basis.N)
last = basis.nodal_dofs[:, (n + 1) ** 2 - 1]
f[last[0]], f[last[1]] = load, 0.5 * load
foot = basis.nodal_dofs[:, : n + 1].flatten()
x = solve(*condense(k, f, D=foot))
json.dump([[x[basis.nodal_dofs[0, p]], x[basis.nodal_dofs[1, p]]] for p in range((n + 1) ** 2)], sys.stdout)
