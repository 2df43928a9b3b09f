"""Small datasets from print, typed in; each with where it is printed.

The larger ones come with the reference libraries. Every test on them first shows that the typing
is right: counts and a printed result come out again.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import Floats

# NIST/SEMATECH e-Handbook of Statistical Methods 8.4.1.3, hours; ten more ran to 500 h unharmed
NIST_FAILED_H = [54.0, 187.0, 216.0, 240.0, 244.0, 335.0, 361.0, 373.0, 375.0, 386.0]
NIST_RUNNING_H = [500.0] * 10


def _grouped(rows: list[tuple[float, float, int]]) -> pd.DataFrame:
    table = pd.DataFrame(rows, columns=["low", "high", "count"])
    return table.loc[table.index.repeat(table["count"]), ["low", "high"]].reset_index(drop=True)


def heat_exchanger_tubes() -> pd.DataFrame:
    """Years to a crack, 300 tubes of three plants (Meeker and Escobar 1998, section 1.1.4)."""
    cracked = [(0.0, 1.0, 4), (1.0, 2.0, 5), (2.0, 3.0, 2)]
    return _grouped([*cracked, (1.0, np.inf, 99), (2.0, np.inf, 95), (3.0, np.inf, 95)])


# Nelson (1982), Applied Life Data Analysis, p. 409; the same table is in the SAS/QC user's guide,
# RELIABILITY procedure, lognormal analysis with arbitrary censoring. Hundreds of hours at the
# only inspection, wheels cracked, wheels not cracked.
_TURBINE_WHEELS = [
    (4, 0, 39), (10, 4, 49), (14, 2, 31), (18, 7, 66), (22, 5, 25), (26, 9, 30),
    (30, 9, 33), (34, 6, 7), (38, 22, 12), (42, 21, 19), (46, 21, 15),
]  # fmt: skip


def turbine_wheels() -> pd.DataFrame:
    """Return 432 turbine wheels, each looked at once: cracked before, or not cracked yet."""
    cracked = [(0.0, float(at), count) for at, count, _ in _TURBINE_WHEELS]
    sound = [(float(at), np.inf, count) for at, _, count in _TURBINE_WHEELS]
    return _grouped(cracked + sound)


# Finkelstein and Wolfe (1985), Biometrics 41, 933-945, table 4: months to breast retraction,
# low-high, no high where it was not seen; the same table comes with several packages of R.
_RADIOTHERAPY = """
45- 6-10 0-7 46- 46- 7-16 17- 7-14 37-44 0-8 4-11 15- 11-15 22- 46- 46- 25-37 46- 26-40 46- 27-34
36-44 46- 36-48 37- 40- 17-25 46- 11-18 38- 5-12 37- 0-5 18- 24- 36- 5-11 19-35 17-25 24- 32- 33-
19-26 37- 34- 36-
"""
_WITH_CHEMOTHERAPY = """
8-12 0-22 24-31 17-27 17-23 24-30 16-24 13- 11-13 16-20 18-25 17-26 32- 23- 44-48 14-17 0-5 5-8
12-20 11- 33-40 31- 13-39 19-32 34- 13- 16-24 35- 15-22 11-17 22-32 10-35 30-34 13- 10-17 8-21 4-9
11- 14-19 4-8 34- 30-36 18-24 16-60 35-39 21- 11-20 48-
"""


def breast_cosmesis() -> pd.DataFrame:
    """Return 94 women: low, high (months), treated (1 with chemotherapy)."""
    rows = [
        (float(low), float(high) if high else np.inf, treated)
        for treated, text in enumerate((_RADIOTHERAPY, _WITH_CHEMOTHERAPY))
        for low, high in (word.split("-") for word in text.split())
    ]
    return pd.DataFrame(rows, columns=["low", "high", "treated"])


# Freireich et al. (1963), Blood 21, 699-716: weeks of remission, + where it went on
_SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
_PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"


def freireich_remissions() -> pd.DataFrame:
    """Return 42 patients as lives: group, low and high (weeks), entry 0."""
    rows = [
        (group, float(word.rstrip("+")), np.inf if word.endswith("+") else float(word))
        for group, text in (("6-MP", _SIX_MP), ("placebo", _PLACEBO))
        for word in text.split()
    ]
    table = pd.DataFrame(rows, columns=["group", "low", "high"])
    return table.assign(entry=0.0, hull_id=table.index.astype(str))


# Meeker and Escobar (1998), table C.17, with the decimals of the authors' own data file: percent
# rise of operating current of 15 lasers, every 250 h from 250 to 4000 h, zero at the start
_GAAS_LASERS = """
0.4741 0.9255 2.1147 2.7168 3.511 4.3415 4.9076 5.4782
    5.9925 6.7224 7.1303 8.0006 8.9193 9.494 9.8675 10.9446
0.7078 1.2175 1.8955 2.2954 2.865 3.7454 4.4192 4.9894
    5.5148 6.0668 6.6385 7.1615 7.7778 8.4242 8.9092 9.2834
0.7074 1.1651 1.7253 1.9888 2.5325 2.9695 3.2977 3.9354
    4.1613 4.4459 4.889 5.2696 5.6913 6.0216 6.4485 6.8849
0.3634 0.6161 1.3597 1.9525 2.2995 2.9468 3.3871 3.7863
    4.1116 4.5013 4.7209 4.9766 5.2812 5.615 5.9503 6.1438
0.2707 0.6144 1.1093 1.773 2.0625 2.5835 2.9863 3.3765
    4.0491 4.626 5.237 5.6191 6.0449 6.3167 7.0952 7.5941
0.3584 1.3922 1.9541 2.8617 3.4552 3.8117 4.533 5.3541
    5.9217 6.7078 7.7027 8.6053 9.1477 9.951 10.4857 11.0096
0.3637 0.9237 1.2098 1.4591 1.9323 2.3862 2.6799 2.9397
    3.4183 4.0857 4.5843 4.8402 5.1145 5.5691 6.114 7.1723
0.458 1.0678 1.4163 1.7659 2.1061 2.3969 2.78 3.0187
    3.289 3.7542 4.1595 4.7575 5.1597 5.4591 5.8085 6.245
0.5098 0.9308 1.5713 1.9576 2.5871 3.2892 3.6075 4.1148
    4.5964 4.913 5.3408 5.8418 6.3961 6.8441 7.2037 7.8848
0.4136 1.488 2.381 2.995 3.835 4.501 5.251 6.256
    7.051 7.803 8.321 8.93 9.554 10.45 11.28 12.21
0.4435 0.9978 1.5738 1.9584 2.5093 2.8436 3.4682 4.007
    4.5124 4.8018 5.2042 5.6556 6.1951 6.5405 6.9626 7.4238
0.3864 0.7988 1.3521 1.741 2.979 3.5871 4.0315 4.4393
    4.7906 5.2205 5.4848 5.9639 6.2276 6.9877 7.3671 7.8841
0.3034 0.7448 1.5225 1.8548 2.3897 2.9473 3.5104 3.9207
    5.0316 5.4708 5.8362 6.4962 6.9372 7.3883 7.8472 8.087
0.438 0.6979 1.0515 1.3526 1.7998 2.5514 2.8274 3.3908
    3.7159 4.0906 4.8296 5.4145 5.759 6.1419 6.5086 6.8823
0.5056 0.8349 1.2864 1.5191 1.9148 2.2697 2.7763 3.4153
    3.7814 4.1053 4.3754 4.6295 5.3831 5.8391 6.1618 6.6247
"""


def gaas_lasers() -> pd.DataFrame:
    """Return 240 stretches of 250 h: unit, hours_1000 (0.25), growth (percent)."""
    percent = np.asarray(_GAAS_LASERS.split(), dtype=np.float64).reshape(15, 16)
    growth = np.diff(percent, axis=1, prepend=0.0)
    units = np.repeat(np.arange(15), growth.shape[1])
    return pd.DataFrame({"unit": units, "hours_1000": 0.25, "growth": growth.ravel()})


# Crack lengths of 21 notched units of one alloy, hundredths of an inch, every 10,000 cycles from 0
# to at most 120,000: Bogdanoff and Kozin (1985), figure 4.5.2, as Lu and Meeker (1993),
# Technometrics 35, 161-174, table 1, read it off; Meeker and Escobar (1998), table C.14 (from
# memory), took it over. Typed in from the data set `Fatigue` of R's package nlme, which gives
# lengths as shares of the notch of 0.90 inch. A unit has failed at 1.60 inch.
_FATIGUE_CRACKS = """
90 95 100 105 112 119 127 135 148 164
90 94 98 103 108 114 121 128 137 147 160
90 94 98 103 108 113 119 126 135 146 158 177
90 94 98 103 107 112 119 125 134 143 155 173
90 94 98 103 107 112 119 124 134 143 155 171
90 94 98 103 107 112 118 123 133 141 151 168
90 94 98 102 107 111 117 123 132 141 152 166
90 93 97 100 106 111 117 123 130 139 149 162
90 92 97 101 105 109 115 121 128 136 144 155 172
90 92 96 100 104 108 113 119 126 134 142 152 167
90 93 96 100 104 108 113 118 124 131 139 149 165
90 93 97 100 103 107 110 116 122 129 137 148 164
90 92 97 99 103 106 110 114 120 126 131 140 152
90 93 96 100 103 107 112 116 120 126 130 137 145
90 92 96 99 103 106 110 116 121 127 133 140 149
90 92 95 97 100 103 107 111 116 122 126 133 140
90 93 96 97 100 105 108 111 116 120 124 132 138
90 92 94 97 101 104 107 109 114 119 123 128 135
90 92 94 97 99 102 105 108 112 116 120 125 131
90 92 94 97 99 102 105 108 112 116 119 124 129
90 92 94 97 99 102 104 107 111 114 118 122 127
"""
NOTCH_INCH, FAILED_INCH = 0.90, 1.60


def fatigue_cracks() -> list[Floats]:
    """Return the lengths of each of 21 cracks, inches, one every 10,000 cycles from 0 on."""
    return [np.array(row.split(), dtype=float) / 100 for row in _FATIGUE_CRACKS.split("\n")[1:-1]]
