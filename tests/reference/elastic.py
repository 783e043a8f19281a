"""Linear elasticity of a solid in a STEP file by finite elements: gmsh cuts it into tetrahedra, scikit-fem sets up quadratic
elements on them, and SciPy solves. Millimetres, newtons, N/mm².

Edges of the elements are straight, so curved walls are chords of `size`; the volume tells how far that is off.
"""

import logging
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import kron
from scipy.sparse.linalg import LinearOperator, eigsh, splu
from skfem import (
    Basis,
    BilinearForm,
    ElementTetP2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshTet,
)
from skfem.helpers import ddot, sym_grad, trace

try:
    import gmsh
except OSError as fault:
    raise RuntimeError(
        f"gmsh lacks a library of the system ({fault}); Debian: apt-get install libglu1-mesa libxcursor1 libxft2 libxinerama1"
    ) from fault

logging.getLogger("skfem").setLevel(logging.ERROR)

CORNERS = 4  # gmsh's number of the tetrahedron with four corners


@dataclass
class Metal:
    """Elastic modulus, N/mm², Poisson's ratio, density in t/mm³."""

    elasticity: float
    poisson: float
    density: float

    def lame(self):
        e, n = self.elasticity, self.poisson
        return e * n / (1 + n) / (1 - 2 * n), e / 2 / (1 + n)


def tetrahedra(step, size):
    """A STEP file's solid in tetrahedra with edges of about `size`; shorter ones on small faces."""
    gmsh.initialize()
    try:
        for option, value in {
            "General.Terminal": 0,
            "General.NumThreads": 1,
            "Mesh.MeshSizeMax": size,
            "Mesh.MeshSizeMin": 0.4 * size,
            "Mesh.MeshSizeExtendFromBoundary": 0,
            "Mesh.MeshSizeFromPoints": 0,
        }.items():
            gmsh.option.setNumber(option, value)
        gmsh.model.occ.importShapes(str(step))
        gmsh.model.occ.synchronize()
        gmsh.model.mesh.generate(3)
        gmsh.model.mesh.optimize("Netgen")
        names, places, _ = gmsh.model.mesh.getNodes()
        _, corners = gmsh.model.mesh.getElementsByType(CORNERS)
    finally:
        gmsh.finalize()
    used, corners = np.unique(corners, return_inverse=True)
    order = np.argsort(names)
    rows = order[np.searchsorted(names, used, sorter=order)]
    return MeshTet(places.reshape(-1, 3)[rows].T.copy(), corners.reshape(-1, 4).T)


class Body:
    """A solid that is held at a plane square to x, or nowhere."""

    def __init__(self, step, size, metal, held_at=0.0):
        self.metal = metal
        self.mesh = tetrahedra(step, size)
        self.basis = Basis(self.mesh, ElementVector(ElementTetP2()), intorder=2)
        self.free = np.arange(self.basis.N)
        if held_at is not None:
            held = self.basis.get_dofs(lambda x: abs(x[0] - held_at) < 1e-6).all()
            self.free = np.setdiff1d(self.free, held)
        # Numbers of one place follow each other.
        places = np.hstack([self.basis.nodal_dofs, self.basis.edge_dofs])
        order = places.T.ravel()
        self.free = order[np.isin(order, self.free)]

    def volume(self):
        return self.basis.dx.sum()

    @cached_property
    def stiffness(self):
        lame, shear = self.metal.lame()

        @BilinearForm
        def form(u, v, _):
            e, f = sym_grad(u), sym_grad(v)
            return 2 * shear * ddot(e, f) + lame * trace(e) * trace(f)

        return form.assemble(self.basis)[self.free][:, self.free].tocsc()

    @cached_property
    def factors(self):
        """The stiffness in triangular factors, so that each load takes a fraction of a second."""
        return splu(
            self.stiffness, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )

    def facets(self, where):
        """The facets of the boundary whose middle lies where this holds."""
        return FacetBasis(
            self.mesh, ElementVector(ElementTetP2()), facets=self.mesh.facets_satisfying(where, boundaries_only=True)
        )

    def load(self, facets, force, moment, about):
        """A force and a moment about a point, as a traction on some facets that changes evenly over them."""
        dx, places = facets.dx, facets.global_coordinates().value
        arms = places - np.reshape(about, (3, 1, 1))
        # A traction a + b × r: six numbers from the six sums that it must give.
        cross = np.array([[[0, 0, 0], [0, 0, -1], [0, 1, 0]], [[0, 0, 1], [0, 0, 0], [-1, 0, 0]], [[0, -1, 0], [1, 0, 0], [0, 0, 0]]])
        turned = np.einsum("kij,jfq->kifq", cross, arms)
        shapes = np.concatenate([np.eye(3)[:, :, None, None] * np.ones_like(dx), turned])
        sums = np.array([[*(s * dx).sum((1, 2)), *(np.cross(arms, s, axis=0) * dx).sum((1, 2))] for s in shapes])
        share = np.linalg.solve(sums.T, np.concatenate([force, moment]))
        traction = np.einsum("k,kifq->ifq", share, shapes)
        form = LinearForm(lambda v, w: sum(w[f"t{i}"] * v[i] for i in range(3)))
        return form.assemble(facets, **{f"t{i}": traction[i] for i in range(3)})

    def solve(self, load):
        """The displacements under a load."""
        out = np.zeros(self.basis.N)
        out[self.free] = self.factors.solve(load[self.free])
        return out

    def stress(self, moved):
        """Places (3 by element by point) and stresses (3 by 3 by element by point) in the elements."""
        lame, shear = self.metal.lame()
        strain = np.asarray(sym_grad(self.basis.interpolate(moved)))
        identity = np.eye(3)[:, :, None, None]
        stress = 2 * shear * strain + lame * np.trace(strain) * identity
        return self.basis.global_coordinates().value, stress

    def frequencies(self, count):
        """The lowest natural frequencies, Hz, and their modes."""
        scalar = self.basis.with_element(ElementTetP2())
        mass = self.metal.density * BilinearForm(lambda u, v, _: u * v).assemble(scalar)
        places = np.concatenate([scalar.nodal_dofs[0], scalar.edge_dofs[0]])
        mass = kron(mass[places][:, places], np.eye(3)).tocsr()
        numbers = np.hstack([self.basis.nodal_dofs, self.basis.edge_dofs]).T.ravel()
        kept = np.isin(numbers, self.free)
        mass = mass[kept][:, kept]
        inverse = LinearOperator(self.stiffness.shape, self.factors.solve)
        start = np.ones(len(self.free))
        squares, modes = eigsh(self.stiffness, count, mass, sigma=0.0, OPinv=inverse, v0=start)
        out = np.zeros((self.basis.N, count))
        out[self.free] = modes
        return np.sqrt(squares) / 2 / np.pi, out


def von_mises(stress):
    """Von Mises' stress of tensors, 3 by 3 by anything."""
    part = stress - np.trace(stress) / 3 * np.eye(3).reshape(3, 3, *[1] * (stress.ndim - 2))
    return np.sqrt(1.5 * (part * part).sum((0, 1)))
