"""The compiled sums made ready before anybody waits for them: compiled once for a machine, then read from its cache."""

from __future__ import annotations

import threading
from dataclasses import asdict


def warm() -> None:
    """Run one draw of a balance clock and of a pendulum clock through the compiled kernel, which compiles it when it
    must.
    """
    from underdial.mechanics.kernel import predict
    from underdial.mechanics.parameters import spread, tabulate
    from underdial.movement.composition import compose
    from underdial.trade.families import families

    for name in ("open_spring_balance_30h", "english_longcase"):
        layout, nominal = tabulate(compose(asdict(families()[name])))
        values = spread(nominal, draws_count=1)
        predict(layout, values)
        predict(layout, values, hours_h=(1.0,))


def warm_aside() -> threading.Thread:
    """The same beside other work; the thread ends with the program."""
    aside = threading.Thread(target=warm, name="warm the sums", daemon=True)
    aside.start()
    return aside


if __name__ == "__main__":
    warm()
