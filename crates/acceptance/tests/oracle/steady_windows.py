"""Steady windows chosen again: pandas for series and means, a plain search over all beginnings.

The search is written from the words of the calculation's head, not from its code.
"""

import json
import math
import sys

import pandas


def number(text):
    return float(text.split()[0].rstrip("%"))


def minutes(text):
    return 0 if text is None else round(number(text))


def series(part):
    times = pandas.to_datetime(part["times"], utc=True)
    return pandas.Series([float(v) if v else math.nan for v in part["values"]], index=times)


def check(case):
    given = case["input"]
    limits = given["criteria"]
    names = [n for n in ("irradiance", "power", "wind", "ambient", "on_sun") if n in given]
    table = pandas.DataFrame({name: series(given[name]) for name in names})
    table = table.asfreq("1min")
    n = len(table)
    need = ["irradiance", "power", "wind", "ambient"]
    absent = table[need].isna().any(axis=1)
    bad = table.irradiance < number(limits["minimum_irradiance"])
    if "on_sun" in names:
        bad |= table.on_sun < 1
    # A step too dim or off the sun is a break even where something else is missing.
    absent &= ~bad
    block = (absent != absent.shift()).cumsum()
    size = absent.groupby(block).transform("size")
    inner = absent & (size <= minutes(limits.get("longest_gap")))
    for _, group in absent[absent].groupby(block[absent]):
        first = table.index.get_loc(group.index[0])
        last = table.index.get_loc(group.index[-1])
        whole = first > 0 and last + 1 < n
        whole = whole and not bad.iloc[first - 1] and not bad.iloc[last + 1]
        if not whole:
            inner.loc[group.index] = False
    opened = (~bad & ~absent) | inner
    change = limits["irradiance_change"]

    def steady(part):
        share = (part.irradiance.isna() | part.power.isna()).mean()
        if share > number(limits.get("missing", "0 %")) / 100 + 1e-12:
            return False
        mean = part.irradiance.mean()
        most = number(change) / 100 * mean if "%" in change else number(change)
        if (part.irradiance - mean).abs().max() > most:
            return False
        if (part.ambient - part.ambient.mean()).abs().max() > number(limits["ambient_change"]):
            return False
        return not part.wind.mean() > number(limits["wind"])

    short = minutes(limits["minimum_length"])
    long = minutes(limits["maximum_length"]) if "maximum_length" in limits else n
    windows, at = [], 0
    while at < n:
        if not opened.iloc[at]:
            at += 1
            continue
        end = at
        while end < n and opened.iloc[end]:
            end += 1
        at += minutes(limits["settle"])
        while at + short <= end:
            if inner.iloc[at] or not steady(table.iloc[at : at + short]):
                at += 1
                continue
            best = at + short
            for to in range(at + short + 1, min(end, at + long) + 1):
                if inner.iloc[to - 1]:
                    continue
                if not steady(table.iloc[at:to]):
                    break
                best = to
            windows.append((at, best))
            at = best
        at = end
    got = case["windows"]
    assert len(got) == len(windows), (len(got), windows, got)
    for row, (at, to) in zip(got, windows):
        part = table.iloc[at:to]
        assert pandas.Timestamp(row[0]) == table.index[at], (row, at)
        assert int(row[3]) == to - at, (row, at, to)
        both = part[~part.irradiance.isna() & ~part.power.isna()]
        assert int(row[4]) == len(part) - len(both)
        for text, value in [
            (row[5], both.irradiance.mean()), (row[6], part.irradiance.min()),
            (row[7], part.irradiance.max()), (row[8], both.power.mean()),
            (row[9], part.ambient.mean()), (row[10], part.wind.mean()),
        ]:
            assert abs(float(text) - value) <= 1e-3 * abs(value), (row, text, value)
    assert sum(int(row[2]) for row in case["rejected"]) + sum(b - a for a, b in windows) == n
    return len(windows)


cases = [json.loads(line) for line in sys.stdin if line.strip()]
found = [check(case) for case in cases]
assert sum(found) > 60, found
print(f"{len(cases)} series agree, {sum(found)} windows")
