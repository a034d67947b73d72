"""Bringing a shop's database to the shape this program needs, in one transaction, with a copy kept first."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy import exc

from underdial.errors import BadInput
from underdial.store.database import reading, writing
from underdial.store.schema import REVISION


def revision_of(engine: sa.Engine) -> str | None:
    """The revision a database is at; None for an empty one."""
    with reading(engine) as connection:
        if not sa.inspect(connection).has_table("alembic_version"):
            return None
        found = connection.execute(sa.text("select version_num from alembic_version")).scalar()
    return str(found) if found is not None else None


def bring_up_to_date(engine: sa.Engine) -> str | None:
    """Migrate when needed; the revision it was at before, or None when nothing was to do.

    A SQLite file that already holds a shop is copied beside itself first (`….before-0003`). BadInput when a newer
    program has written it.
    """
    before = revision_of(engine)
    if before == REVISION:
        return None
    # Alembic is slow to import, so only a shop that needs it pays for it.
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", "underdial.store:migrations")
    known = {one.revision for one in ScriptDirectory.from_config(config).walk_revisions()}
    if before is not None and before not in known:
        raise BadInput(
            "shop",
            before,
            f"up to {REVISION}",
            f"shop: its records were written by a newer program (form {before}); this one reads up to {REVISION}. "
            "Use the newer program.",
        )
    if before is not None and engine.url.get_backend_name() == "sqlite":
        _copy_first(Path(str(engine.url.database)))
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, "head")
        except exc.ProgrammingError as wrong:
            raise BadInput(
                "shop",
                str(engine.url.database),
                "an empty database or a shop's own",
                f"shop: this database holds something else ({wrong.orig}).",
            ) from wrong
    return before


def _copy_first(file: Path) -> None:
    copy = file.with_name(f"{file.name}.before-{REVISION}")
    with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)
