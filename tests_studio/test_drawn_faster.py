"""What spares the renderer work changes nothing that it shows, and nothing that is true."""

from __future__ import annotations

import numpy as np
import pytest
from studio.draw.mesh import make_mesh, ordered
from studio.draw.solids import ball
from studio.draw.strain import Strain
from studio.draw.tiles import SIDE, tiles_about


def test_an_ordered_mesh_has_the_same_triangles() -> None:
    rng = np.random.default_rng(4)
    points, faces = ball(np.zeros(3), 1.0, 9)
    mesh = make_mesh(points, rng.permutation(faces), uv=points[:, :2])
    again = ordered(mesh)

    def corners(points: np.ndarray, faces: np.ndarray) -> set[bytes]:
        """Each triangle from its lowest corner on: turned about, it would be another."""
        turned = [face[np.lexsort(points[face].T)[0] :].tolist() for face in faces]
        whole = [[*end, *face[: 3 - len(end)]] for end, face in zip(turned, faces, strict=True)]
        return {points[face].tobytes() for face in whole}

    assert corners(again.points, again.faces) == corners(mesh.points, mesh.faces)
    assert len(again) == len(mesh)
    np.testing.assert_array_equal(again.uv, again.points[:, :2])


@pytest.mark.parametrize("seed", range(5))
def test_tiles_are_those_that_a_square_about_a_point_meets(seed: int) -> None:
    rng = np.random.default_rng(seed)
    width, height = (int(side) for side in rng.integers(100, 400, 2))
    points = rng.normal(0.5, 0.5, (40, 2)) * [width, height]
    points[0] = np.nan
    reach = float(rng.uniform(1, 40))
    mask = tiles_about(points, (width, height), reach)
    for row, column in np.ndindex(*mask.shape):
        low, left = row * SIDE, column * SIDE
        x, y = points[:, 0], height - 1 - points[:, 1]
        across = (x + reach >= left) & (x - reach < left + SIDE)
        up = (y + reach >= low) & (y - reach < low + SIDE)
        assert mask[row, column] == bool((across & up).any())


def test_cloth_that_shrinks_all_over_is_squeezed_all_over() -> None:
    """By hand: a sheet drawn in by a fifth each way is a fifth shorter each way."""
    grid = np.stack(np.meshgrid(np.arange(4.0), np.arange(4.0)), -1).reshape(-1, 2)
    points = np.column_stack([grid[:, 0], np.zeros(16), grid[:, 1]])
    cells = [4 * row + column for row in range(3) for column in range(3)]
    faces = np.array(
        [face for at in cells for face in ((at, at + 1, at + 5), (at, at + 5, at + 4))]
    )
    strain = Strain(make_mesh(points, faces, uv=points[:, [0, 2]]))
    np.testing.assert_allclose(strain.squeeze(points), 0.0, atol=1e-6)
    np.testing.assert_allclose(strain.squeeze(0.8 * points), 0.2, atol=1e-6)
