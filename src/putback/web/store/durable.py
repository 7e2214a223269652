"""What makes the database store last: its tables kept up to date, copied out, filled, checked.

A copy is made of plain records under the tables' shape at that moment (the last migration of each
app). Filling brings an empty store to that shape first, and then up to date; so an old copy can be
read for ever, and on either database.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from itertools import groupby, islice
from pathlib import Path

from django.core.management.color import no_style
from django.db import IntegrityError, connections, models, transaction
from django.db.migrations.executor import MigrationExecutor

from putback.errors import AlreadyExists, Damaged, StoreError
from putback.web.store.entry_store import DjangoEntryStore
from putback.workshop.exchange.backup import back_up_tables
from putback.workshop.logbooks.ports import Row

_CACHES = frozenset({"putback_snapshot", "putback_plan", "putback_question", "putback_attempt"})
"""Tables that can be made anew, or are of the hour, and are in no copy."""
_BATCH = 500


class DjangoStore(DjangoEntryStore):
    """The entry store, and what it takes to make it last."""

    def bring_up_to_date(self, backups: Path) -> None:
        """Make the tables, or change those of an older version after a copy went to ``backups``.

        Raises
        ------
        StoreError
            If a newer version than this one made the tables.
        """
        with self._trouble():
            executor = self._executor()
            newest = executor.loader.graph.leaf_nodes()
            unknown = set(executor.loader.applied_migrations) - set(executor.loader.graph.nodes)
            if unknown:
                why = f"a newer version made its tables ({_said(unknown)})"
                raise StoreError(self.name, why, "install that version; nothing was changed")
            if not executor.migration_plan(newest):
                return
            if executor.loader.applied_migrations:
                back_up_tables(self, backups, self._clock.now())
            executor.migrate(newest)

    def shape(self) -> Mapping[str, str]:
        """Name the last migration of each app."""
        with self._trouble():
            return dict(self._applied(self._executor()))

    @contextmanager
    def dump(self) -> Iterator[Iterator[Row]]:
        """Give every record except caches, all of one moment."""
        with self._trouble(), self._one_moment():
            yield (
                Row(model._meta.db_table, _to_plain(model, record))
                for model in self._models()
                if model._meta.db_table not in _CACHES
                for record in _all(model, self.alias).iterator(chunk_size=_BATCH)
            )

    def restore(self, shape: Mapping[str, str], rows: Iterable[Row]) -> None:
        """Fill this store, which must be empty, with what `dump` gave."""
        with self._trouble():
            if any(_all(model, self.alias).exists() for model in self._models()):
                raise AlreadyExists(
                    "store with something in it", self.name, "restore into a new one"
                )
            self._migrate_to(shape)
            try:
                with transaction.atomic(using=self.alias, durable=True):
                    self._fill(rows)
            except IntegrityError as error:
                why = f"the copy contradicts itself: {str(error).splitlines()[0]}"
                raise Damaged(self.name, why, "nothing was restored; take another copy") from error
            executor = self._executor()
            executor.migrate(executor.loader.graph.leaf_nodes())

    def faults(self) -> tuple[str, ...]:
        """Let SQLite check its file; PostgreSQL checks each page as it is read."""
        connection = connections[self.alias]
        if connection.vendor != "sqlite":
            return ()
        with self._trouble(), connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            said = [line for (line,) in cursor.fetchall() if line != "ok"]
            cursor.execute("PRAGMA foreign_key_check")
            return (
                *said,
                *(f"row {row[1]} of {row[0]} names nothing" for row in cursor.fetchall()),
            )

    # -- inside -----------------------------------------------------------------------------

    def _executor(self) -> MigrationExecutor:
        return MigrationExecutor(connections[self.alias])

    def _applied(self, executor: MigrationExecutor) -> list[tuple[str, str]]:
        """Give those migrations that were applied and on which no other applied one stands."""
        applied = executor.loader.applied_migrations
        nodes = executor.loader.graph.node_map
        return sorted(
            key
            for key in applied
            if not any(
                child.key in applied and child.key[0] == key[0] for child in nodes[key].children
            )
        )

    def _models(self) -> list[type[models.Model]]:
        """Give the tables as they are in the database now, which may be older than the code's."""
        executor = self._executor()
        state = executor.loader.project_state(self._applied(executor))
        return list(state.apps.get_models(include_auto_created=True))

    def _migrate_to(self, shape: Mapping[str, str]) -> None:
        executor = self._executor()
        wanted = list(shape.items())
        unknown = {key for key in wanted if key not in executor.loader.graph.nodes}
        if unknown:
            why = f"the copy was made by a newer version ({_said(unknown)})"
            raise StoreError(self.name, why, "install that version; nothing was restored")
        executor.migrate(wanted)

    def _fill(self, rows: Iterable[Row]) -> None:
        tables = {model._meta.db_table: model for model in self._models()}
        for table, group in groupby(rows, key=lambda row: row.table):
            model = tables[table]
            records = (_from_plain(model, row.values) for row in group)
            while batch := list(islice(records, _BATCH)):
                model._default_manager.using(self.alias).bulk_create(batch)
        connection = connections[self.alias]
        with connection.cursor() as cursor:
            for sql in connection.ops.sequence_reset_sql(no_style(), list(tables.values())):
                cursor.execute(sql)

    @contextmanager
    def _one_moment(self) -> Iterator[None]:
        """Read all as it is now, without keeping anybody from writing."""
        connection = connections[self.alias]
        if connection.vendor == "postgresql":
            with transaction.atomic(using=self.alias), connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
                yield
            return
        with connection.cursor() as cursor:
            cursor.execute("BEGIN")  # deferred: not the IMMEDIATE of our writers
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")


def _said(migrations: Iterable[tuple[str, str]]) -> str:
    return ", ".join(sorted(".".join(each) for each in migrations))


def _all(model: type[models.Model], alias: str) -> models.QuerySet[models.Model]:
    return model._default_manager.using(alias).order_by("pk")


def _to_plain(model: type[models.Model], record: models.Model) -> dict[str, object]:
    plain: dict[str, object] = {}
    for each in model._meta.concrete_fields:
        value = each.value_from_object(record)
        is_plain = value is None or isinstance(value, str | int | float)
        plain[each.attname] = value if is_plain else each.value_to_string(record)
    return plain


def _from_plain(model: type[models.Model], plain: Mapping[str, object]) -> models.Model:
    fields = {each.attname: each for each in model._meta.concrete_fields}
    return model(**{name: fields[name].to_python(value) for name, value in plain.items()})
