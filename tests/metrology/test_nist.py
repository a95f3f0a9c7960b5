"""Least squares agree with certified values to more digits than anyone will read.

Source: National Institute of Standards and Technology, Statistical Reference Datasets, linear least squares
regression (public domain): Norris, Pontius, NoInt1, NoInt2, Filip, Longley, Wampler1, Wampler3. Written down
from memory; that they are right shows in the fits, which reproduce the certified values to more digits than
chance could. Longley's observations are read from statsmodels, which ships them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.scatter import scatter_fit


@dataclass(frozen=True)
class Certified:
    design: NDArray[np.float64]
    y: NDArray[np.float64]
    values: tuple[float, ...]
    u: tuple[float, ...]
    sd: float


NORRIS_XY = np.array(
    [
        (0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1),
        (666.3, 668.5), (996.3, 998.5), (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3),
        (0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3), (447.5, 448.9), (11.6, 10.8),
        (556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3),
        (0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9),
        (11.1, 10.2), (118.3, 117.6), (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2),
    ]
)  # fmt: skip
PONTIUS_Y = np.array(
    [
        0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
        1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
        0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150,
        1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
    ]
)  # fmt: skip
WAMPLER3_Y = np.array(
    [
        760, -2042, 2111, -1684, 3888, 1858, 11379, 17560, 39287, 64382,
        113159, 175108, 273291, 400186, 581243, 811568, 1121004, 1506550, 2002767, 2611612,
        3369180,
    ],
    dtype=float,
)  # fmt: skip
FILIP_X = np.array(
    [
        -6.860120914, -4.324130045, -4.358625055, -4.358426747, -6.955852379, -6.661145254, -6.355462942,
        -6.118102026, -7.115148017, -6.815308569, -6.519993057, -6.204119983, -5.853871964, -6.109523091,
        -5.79832982, -5.482672118, -5.171791386, -4.851705903, -4.517126416, -4.143573228, -3.709075441,
        -3.499489089, -6.300769497, -5.953504836, -5.642065153, -5.031376979, -4.680685696, -4.329846955,
        -3.928486195, -8.56735134, -8.363211311, -8.107682739, -7.823908741, -7.522878745, -7.218819279,
        -6.920818754, -6.628932138, -6.323946875, -5.991399828, -8.781464495, -8.663140179, -8.473531488,
        -8.247337057, -7.971428747, -7.676129393, -7.352812702, -7.072065318, -6.774174009, -6.478861916,
        -6.159517513, -6.835647144, -6.53165267, -6.224098421, -5.910094889, -5.598599459, -5.290645224,
        -4.974284616, -4.64454848, -4.290560426, -3.885055584, -3.408378962, -3.13200249, -8.726767166,
        -8.66695597, -8.511026475, -8.165388579, -7.886056648, -7.588043762, -7.283412422, -6.995678626,
        -6.691862621, -6.392544977, -6.067374056, -6.684029655, -6.378719832, -6.065855188, -5.752272167,
        -5.132414673, -4.811352704, -4.098269308, -3.66174277, -3.2644011,
    ]
)  # fmt: skip
FILIP_Y = np.array(
    [
        0.8116, 0.9072, 0.9052, 0.9039, 0.8053, 0.8377, 0.8667, 0.8809, 0.7975, 0.8162,
        0.8515, 0.8766, 0.8885, 0.8859, 0.8959, 0.8913, 0.8959, 0.8971, 0.9021, 0.909,
        0.9139, 0.9199, 0.8692, 0.8872, 0.89, 0.891, 0.8977, 0.9035, 0.9078, 0.7675,
        0.7705, 0.7713, 0.7736, 0.7775, 0.7841, 0.7971, 0.8329, 0.8641, 0.8804, 0.7668,
        0.7633, 0.7678, 0.7697, 0.77, 0.7749, 0.7796, 0.7897, 0.8131, 0.8498, 0.8741,
        0.8061, 0.846, 0.8751, 0.8856, 0.8919, 0.8934, 0.894, 0.8957, 0.9047, 0.9129,
        0.9209, 0.9219, 0.7739, 0.7681, 0.7665, 0.7703, 0.7702, 0.7761, 0.7809, 0.7961,
        0.8253, 0.8602, 0.8809, 0.8301, 0.8664, 0.8834, 0.8898, 0.8964, 0.8963, 0.9074,
        0.9119, 0.9228,
    ]
)  # fmt: skip


def _powers(x: NDArray[np.float64], degree: int) -> NDArray[np.float64]:
    return np.vander(x, degree + 1, increasing=True)


def _longley() -> Certified:
    from statsmodels.datasets import longley

    data = longley.load_pandas()
    return Certified(
        np.column_stack([np.ones(16), data.exog.to_numpy(float)]),
        data.endog.to_numpy(float),
        (-3482258.63459582, 15.0618722713733, -0.358191792925910e-01, -2.02022980381683, -1.03322686717359,
         -0.511041056535807e-01, 1829.15146461355),
        (890420.383607373, 84.9149257747669, 0.334910077722432e-01, 0.488399681651699, 0.214274163161675,
         0.226073200069370, 455.478499142212),
        304.854073561965,
    )  # fmt: skip


def certified() -> dict[str, Certified]:
    x20 = np.arange(21.0)
    pontius_x = np.tile(150000.0 * np.arange(1, 21), 2)
    return {
        "Norris": Certified(
            _powers(NORRIS_XY[:, 0], 1),
            NORRIS_XY[:, 1],
            (-0.262323073774029, 1.00211681802045),
            (0.232818234301152, 0.429796848199937e-03),
            0.884796396144373,
        ),
        "Pontius": Certified(
            _powers(pontius_x, 2),
            PONTIUS_Y,
            (0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14),
            (0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16),
            0.205177424076185e-03,
        ),
        "NoInt1": Certified(
            np.arange(60.0, 71.0)[:, None],
            np.arange(130.0, 141.0),
            (2.07438016528926,),
            (0.165289256198347e-01,),
            3.56753034006338,
        ),
        "NoInt2": Certified(
            np.array([[4.0], [5.0], [6.0]]),
            np.array([3.0, 4.0, 4.0]),
            (0.727272727272727,),
            (0.420827318078432e-01,),
            0.369274472937998,
        ),
        "Filip": Certified(
            _powers(FILIP_X, 10),
            FILIP_Y,
            (-1467.48961422980, -2772.17959193342, -2316.37108160893, -1127.97394098372, -354.478233703349,
             -75.1242017393757, -10.8753180355343, -1.06221498588947, -0.670191154593408e-01,
             -0.246781078275479e-02, -0.402962525080404e-04),
            (298.084530995537, 559.779865474950, 466.477572127796, 227.204274477751, 71.6478660875927,
             15.2897178747400, 2.23691159816033, 0.221624321934227, 0.142363763154724e-01,
             0.535617408889821e-03, 0.896632837373868e-05),
            0.334801051324544e-02,
        ),
        "Wampler1": Certified(_powers(x20, 5), _powers(x20, 5).sum(axis=1), (1.0,) * 6, (0.0,) * 6, 0.0),
        "Wampler3": Certified(
            _powers(x20, 5),
            WAMPLER3_Y,
            (1.0,) * 6,
            (2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752,
             0.112324854679312),
            2360.14502379268,
        ),
        "Longley": _longley(),
    }  # fmt: skip


def digits(found: float, certified_value: float) -> float:
    """Give how many digits agree: -log10 of the relative error (of the error, about 0), at most 15."""
    error = abs(found - certified_value) / (abs(certified_value) or 1.0)
    return 15.0 if error < 1e-15 else -float(np.log10(error))


# The least that each data set must give. Its condition sets it: Filip has powers up to 10, and Wampler1 lies
# on its polynomial exactly, so that its uncertainties are nothing but rounding.
@pytest.mark.parametrize(
    ("name", "of_values", "of_u"),
    [
        ("Norris", 12.5, 13),
        ("Pontius", 12, 12.5),
        ("NoInt1", 14, 14),
        ("NoInt2", 14, 14),
        ("Longley", 10.5, 11.5),
        ("Filip", 7.5, 6.5),
        ("Wampler1", 9, 8),
        ("Wampler3", 9, 12.5),
    ],
)
def test_linear_fits_to_certified_digits(name: str, of_values: float, of_u: float) -> None:
    data = certified()[name]
    fit = scatter_fit(data.design, data.y)
    for found, value, u in zip(fit.coefficients, data.values, data.u, strict=True):
        assert digits(found.n, value) >= of_values
        assert digits(found.s, u) >= of_u
    assert digits(fit.sd, data.sd) >= of_u


@pytest.mark.parametrize("u_y", [None, 0.884796396144373])
def test_the_straight_line_to_twelve_digits(u_y: float | None) -> None:
    # Norris; with the certified residual standard deviation as the known uncertainty of every y, the weighted
    # fit of ISO/TS 28037 has the same coefficients and the same standard uncertainties.
    data = certified()["Norris"]
    line = straight_line(NORRIS_XY[:, 0], NORRIS_XY[:, 1], u_y=u_y)
    for found, value, u in zip((line.intercept, line.slope), data.values, data.u, strict=True):
        assert digits(found.n, value) >= 12
        assert digits(found.s, u) >= 13
