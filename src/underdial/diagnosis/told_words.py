"""What was told, said back: each field and value of the complaint as a clause that follows `fits` or `would
explain`.
"""

from __future__ import annotations

from collections.abc import Mapping

_SAID: Mapping[tuple[str, str], str] = {
    ("never_runs", "True"): "that it never runs",
    ("never_runs", "False"): "that it does run",
    ("hands_stand", "True"): "that the hands stand while it ticks",
    ("races", "True"): "that it races",
    ("stops_in_cold", "True"): "that it stops in the cold",
    ("stops", "True"): "that it stops",
    ("stops_at", "same_dial_time"): "that it stops at one time on the dial",
    ("stops_at", "same_minute"): "that it stops at one minute of the hour",
    ("stops_at", "same_wind"): "that it stops at one state of the wind",
    ("stops_at", "before_hour"): "that it stops before the hour",
    ("stops_at", "irregular"): "that it stops now here, now there",
    ("rate_kind", "gains"): "that it gains",
    ("rate_kind", "loses"): "that it loses",
    ("rate_kind", "irregular"): "that its rate is unsteady",
    ("rate_kind", "changes_over_wind"): "that its rate changes over the wind",
    ("goes_only", "tilted"): "that it goes only when tilted",
    ("goes_only", "hands_off"): "that it goes only with the hands off",
    ("goes_only", "dial_up"): "that it goes only on its back",
    ("goes_only", "more_weight"): "that it goes only with more weight",
    ("winding", "slips"): "that the winding slips",
    ("winding", "will_not_wind"): "that it will not wind",
    ("swing", "too_small"): "that the swing is too small",
    ("swing", "too_big"): "that the swing is too wide",
    ("swing", "knocks"): "that it knocks on its banking",
    ("noise", "sway"): "that it sways",
    ("noise", "yes"): "the noise",
    ("strikes", "wrong_count"): "that it strikes the wrong count",
    ("strikes", "never"): "that it does not strike",
    ("strikes", "runs_on"): "that it strikes on and on",
    ("strikes", "slow"): "that it strikes slowly",
    ("strikes", "too_fast"): "that it strikes too fast",
    ("strikes", "one_hour_wrong"): "that it strikes wrongly at one hour",
    ("strikes", "one"): "that it strikes but one",
    ("strikes", "weak"): "that it strikes weakly",
    ("chimes", "out_of_order"): "that it chimes out of order",
    ("chimes", "never"): "that it does not chime",
    ("chimes", "runs_on"): "that it chimes on and on",
    ("chimes", "slow"): "that it chimes slowly",
    ("chimes", "wrong_count"): "that it chimes the wrong quarter",
    ("alarm", "wrong_time"): "that the alarm goes off at the wrong time",
    ("alarm", "never"): "that the alarm stays silent",
}
_SINCE = {
    "moved": "it was moved",
    "repair": "it was repaired",
    "fall": "it fell",
    "wound": "it was wound",
    "cleaned": "it was cleaned",
    "owner_work": "its owner worked on it",
}


def told_words(field: str, value: object) -> str:
    """A field of the complaint as a clause: `that it runs 20 min`, `that it strikes on and on`."""
    if field in ("runs_for_s", "runs_dial_up_for_s") and isinstance(value, float):
        lying = " on its back" if field == "runs_dial_up_for_s" else ""
        return f"that it runs {time_words(value)}{lying}"
    if field == "rate_s_per_day" and isinstance(value, float):
        return f"that it {'gains' if value > 0 else 'loses'} {rate_words(value)} a day"
    return _SAID.get(
        (field, str(value)),
        f"the {value}" if field == "noise" else f"what was told ({field.replace('_', ' ')}: {value})",
    )


def since_words(since: str) -> str:
    """`moved` as `it was moved`."""
    return _SINCE.get(since, since.replace("_", " "))


def time_words(seconds: float) -> str:
    """A time as it is spoken: 45 s, 20 min, 12 h, 5 days."""
    for most, size, unit in ((120.0, 1.0, "s"), (7200.0, 60.0, "min"), (172_800.0, 3600.0, "h")):
        if seconds < most:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 86_400.0:.2g} days" if seconds < 8_640_000.0 else f"{seconds / 86_400.0:.0f} days"


def rate_words(s_per_day: float) -> str:
    """A rate without its sign, in seconds or minutes."""
    size = abs(s_per_day)
    return f"{size:.0f} s" if size < 180.0 else f"{size / 60.0:.2g} min" if size < 6000.0 else f"{size / 60.0:.0f} min"


def share_words(share: float) -> str:
    """A share of clocks in words: what the trade knows by heart is not known to the hundredth."""
    assert 0.0 <= share <= 1.0, share
    return next(
        words
        for least, words in ((0.9, "nearly all"), (0.6, "most"), (0.4, "many"), (0.15, "some"), (0.0, "a few"))
        if share >= least
    )
