"""Survival of each brood by arm, with the arms' intervals: on a terminal and as a drawing."""

from __future__ import annotations

from rounds.analysis.plots.svg_drawing import Drawing, fitting
from rounds.analysis.trial import verdict_sentences as sentences
from rounds.analysis.trial.survival_shares import LEVEL
from rounds.analysis.trial.verdict import Arm, Verdict
from rounds.text.cleaning import clean

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
        out.append(f"  {sentences.PLOT_MEAN:<{_NAME - 2}} {_bar(arm, scale)} {arm.mean:.0%}")
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


def drawn(v: Verdict) -> Drawing:
    """The same as a drawing: filled dots are broods, the open dot and its line the mean and interval."""
    left, right, top, step, gap = 130.0, 560.0, 56.0, 18.0, 8.0
    rows = sum(len(arm.units) + 2 for arm in (v.reference, v.other))
    bottom = top + rows * step + gap + 6
    title = sentences.plot_title(v.reference.name, v.other.name)
    out = Drawing(640, bottom + 46, title)
    out.text(8, 20, fitting(title, 620, 14), 14, bold=True)
    out.dot(14, 36, 4)
    out.text(24, 40, sentences.PLOT_BROOD, 11)
    out.dot(104, 36, 5, filled=False)
    out.text(116, 40, sentences.plot_interval(LEVEL), 11)

    def x(share: float) -> float:
        return left + min(1.0, max(0.0, share)) * (right - left)

    for tenth in range(0, 11, 2):
        out.line(x(tenth / 10), top, x(tenth / 10), bottom, 0.5, dashed=True)
        out.text(x(tenth / 10), bottom + 16, f"{tenth * 10}%", 11, "middle")
    out.text((left + right) / 2, bottom + 36, sentences.PLOT_AXIS, 12, "middle")
    y = top
    for arm in (v.reference, v.other):
        y += step if arm is v.reference else step + gap
        out.text(8, y, fitting(arm.name, right - 8, 13), 13, bold=True)
        y += step
        out.text(20, y, sentences.PLOT_MEAN, 11)
        out.line(x(arm.interval.low), y - 4, x(arm.interval.high), y - 4, 2)
        for end in (arm.interval.low, arm.interval.high):
            out.line(x(end), y - 9, x(end), y + 1, 2)
        out.dot(x(arm.mean), y - 4, 5, filled=False)
        out.text(right + 12, y, f"{arm.mean:.0%}", 11)
        for u in sorted(arm.units, key=lambda u: -u.share):
            y += step
            out.text(20, y, fitting(u.name, left - 26, 11), 11)
            out.dot(x(u.share), y - 4, 4)
            out.text(right + 12, y, f"{u.alive}/{u.eggs}", 11)
    return out
