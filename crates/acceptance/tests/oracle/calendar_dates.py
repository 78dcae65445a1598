"""Due days by python-dateutil and elapsed hours by the time zone of the site, from standard input.

Each line: `due last count unit day`, or `hold start end hours`, where start and end are wall-clock
times of America/Santiago without offset. Ends with status 1 when one differs, or a kind never came.
"""

import sys
from datetime import date, datetime
from zoneinfo import ZoneInfo

from dateutil.relativedelta import relativedelta

ZONE = ZoneInfo("America/Santiago")
counts = {"due": 0, "hold": 0}
bad = []
for line in sys.stdin:
    kind, *cells = line.split()
    counts[kind] += 1
    if kind == "due":
        last, count, unit, day = cells
        expected = date.fromisoformat(last) + relativedelta(**{unit: int(count)})
        if expected.isoformat() != day:
            bad.append(f"{line.strip()} expected {expected}")
    else:
        start, end, hours = cells
        moments = [datetime.fromisoformat(t).replace(tzinfo=ZONE).timestamp() for t in (start, end)]
        if abs((moments[1] - moments[0]) / 3600 - float(hours)) > 1e-3:
            bad.append(f"{line.strip()} expected {(moments[1] - moments[0]) / 3600}")
print("\n".join(bad) or "agree", counts)
sys.exit(1 if bad or not all(counts.values()) else 0)
