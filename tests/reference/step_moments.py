"""First moments of the faces of a STEP file, along their loops.

Each analytic surface has walks(loops, axes): (u, v, du, dv) of each loop in the surface's own parameters, and place(u, v): points from its
origin with area vectors for du dv. The inner integral runs across by Gauss, the outer one along the loops (Green's theorem), so that a face's
sums are those of its area and volume with other integrands. `sums` gives, for each axis k, the integral of x_k n_k and of x_k^2 n_k / 2 with x from the
surface's origin; `about` moves them to the file's origin. The sums of all faces are three times the volume, and volume times centroid.
"""

import numpy as np

_GAUSS = np.polynomial.legendre.leggauss(24)  # trigonometric polynomials of degree four over a whole turn to 1e-13


def integrands(x, normals):
    """x_k n_k and x_k^2 n_k / 2, in six columns."""
    first = x * normals
    return np.hstack([first, 0.5 * x * first])


def across(place, ends, low=0.0):
    """For each end the integrals from `low` to it; place(t) gives points and area vectors at one t for each."""
    out = np.zeros((len(ends), 6))
    for node, weight in zip(*_GAUSS):
        out += (weight * (ends - low) / 2.0)[:, None] * integrands(*place(low + (ends - low) * (node + 1.0) / 2.0))
    return out


def sums(place, walks, low=0.0, along_v=True):
    """The six sums of a face by its loops, apart from whole turns of the surface."""
    total = np.zeros(6)
    for u, v, du, dv in walks:
        if along_v:
            total -= du @ across(lambda t, u=u: place(u, t), v, low)
        else:
            total += dv @ across(lambda t, v=v: place(t, v), u, low)
    return total


def whole(volume):
    """The six sums of a whole closed surface about its centre, symmetric to it."""
    return np.array([volume] * 3 + [0.0] * 3)


def about(origin, vector, own):
    """Sums from the surface's origin as sums from the file's; `vector` is the face's area vector."""
    flux, moment = own[:3], own[3:]
    return np.concatenate([flux + origin * vector, moment + origin * flux + 0.5 * origin**2 * vector])


def ring(frame, u):
    """Directions out from a frame's axis, and the axis itself for each."""
    out = np.multiply.outer(np.cos(u), frame.x) + np.multiply.outer(np.sin(u), frame.y)
    return out, np.broadcast_to(frame.z, out.shape)
