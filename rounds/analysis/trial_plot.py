"""Survival of each brood by arm, with the arms' intervals: on a terminal and as SVG."""

from __future__ import annotations

from rounds.analysis.drawing import Svg
from rounds.analysis.trial_verdict import Arm, Verdict
from rounds.shown import clean

_NAME, _COUNT = 14, 9


def as_text(v: Verdict, width: int = 78) -> list[str]:
    """Lines no wider than ``width``: a dot for each brood, ``├──┼──┤`` for the arm's mean and interval."""
    scale = max(21, width - _NAME - _COUNT - 2)
    ends = f"{'0%':<{scale // 2}}50%".ljust(scale - 4) + "100%"
    out = [" " * (_NAME + 1) + ends]
    for arm in (v.reference, v.other):
        out.append(clean(arm.name, width))
        for u in sorted(arm.units, key=lambda u: -u.share):
            row = [" "] * scale
            row[_at(u.share, scale)] = "●"
            out.append(f"  {clean(u.name, _NAME - 3):<{_NAME - 2}} {''.join(row)} {u.alive}/{u.eggs}")
        out.append(f"  {'mean':<{_NAME - 2}} {_bar(arm, scale)} {arm.mean:.0%}")
    return [line.rstrip() for line in out]


def _at(share: float, scale: int) -> int:
    return round(min(1.0, max(0.0, share)) * (scale - 1))


def _bar(arm: Arm, scale: int) -> str:
    row = [" "] * scale
    low, middle, high = (_at(x, scale) for x in (arm.interval.low, arm.mean, arm.interval.high))
    for k in range(low, high + 1):
        row[k] = "─"
    row[low], row[high] = "├", "┤"
    row[middle] = "┼"
    return "".join(row)


def as_svg(v: Verdict) -> str:
    """The same as a drawing: filled dots are broods, the open dot and its line the mean and interval."""
    left, right, top, step = 130.0, 560.0, 40.0, 18.0
    rows = sum(len(arm.units) + 2 for arm in (v.reference, v.other))
    bottom = top + rows * step + 6
    svg = Svg(640, bottom + 46, f"Survival by brood: {v.reference.name} and {v.other.name}")

    def x(share: float) -> float:
        return left + min(1.0, max(0.0, share)) * (right - left)

    for tenth in range(0, 11, 2):
        svg.line(x(tenth / 10), top, x(tenth / 10), bottom, 0.5, dashed=True)
        svg.text(x(tenth / 10), bottom + 16, f"{tenth * 10}%", 11, "middle")
    svg.text((left + right) / 2, bottom + 36, "share of eggs that reached the endpoint", 12, "middle")
    y = top
    for arm in (v.reference, v.other):
        y += step
        svg.text(8, y, arm.name, 13, bold=True)
        y += step
        svg.text(20, y, "mean", 11)
        svg.line(x(arm.interval.low), y - 4, x(arm.interval.high), y - 4, 2)
        for end in (arm.interval.low, arm.interval.high):
            svg.line(x(end), y - 9, x(end), y + 1, 2)
        svg.dot(x(arm.mean), y - 4, 5, filled=False)
        svg.text(right + 12, y, f"{arm.mean:.0%}", 11)
        for u in sorted(arm.units, key=lambda u: -u.share):
            y += step
            svg.text(20, y, u.name, 11)
            svg.dot(x(u.share), y - 4, 4)
            svg.text(right + 12, y, f"{u.alive}/{u.eggs}", 11)
    return str(svg)
