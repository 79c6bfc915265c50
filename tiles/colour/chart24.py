"""The 24-patch chart: six patches to a row, four rows, and the colours its maker publishes.

CIE L*a*b* under D50, 2° observer, for charts of November 2014 and later. Source: the maker's figures as stored in the
colour-science package; layout: McCamy, Marcus, Davidson 1976. Older charts differ by 0.85 ΔE00
in the mean, 1.95 at most.
"""

import numpy as np

from tiles.colour.lab import Illuminant, adapt, lab_to_xyz, xyz_to_lab

COLUMNS, ROWS = 6, 4

LAB_D50 = np.array(
    [
        (37.54, 14.37, 14.92),
        (64.66, 19.27, 17.50),
        (49.32, -3.82, -22.54),
        (43.46, -12.74, 22.72),
        (54.94, 9.61, -24.79),
        (70.48, -32.26, -0.37),
        (62.73, 35.83, 56.50),
        (39.43, 10.75, -45.17),
        (50.57, 48.64, 16.67),
        (30.10, 22.54, -20.87),
        (71.77, -24.13, 58.19),
        (71.51, 18.24, 67.37),
        (28.37, 15.42, -49.80),
        (54.38, -39.72, 32.27),
        (42.43, 51.05, 28.62),
        (81.80, 2.67, 80.41),
        (50.63, 51.28, -14.12),
        (49.57, -29.71, -28.32),
        (95.19, -1.03, 2.93),
        (81.29, -0.57, 0.44),
        (66.89, -0.75, -0.06),
        (50.76, -0.13, 0.14),
        (35.63, -0.46, -0.48),
        (20.64, 0.07, -0.46),
    ]
)
XYZ_D65 = adapt(lab_to_xyz(LAB_D50, Illuminant.D50), Illuminant.D50, Illuminant.D65)
LAB_D65 = xyz_to_lab(XYZ_D65)
