"""The migrations lead to exactly the tables the program works with, on both databases."""

from __future__ import annotations

import psycopg
import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from psycopg import sql
from sqlalchemy import inspect, make_url, text

from wetend.errors import StorageFailed
from wetend.records.migrating import migrations
from wetend.records.store import Depot
from wetend.records.tables import HEAD, metadata


def test_migrated_to_head_there_is_no_difference(depot: Depot) -> None:
    with depot._engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, metadata) == []
        assert context.get_current_revision() == HEAD


def test_a_difference_would_be_seen(depot: Depot) -> None:
    with depot._writer.begin() as connection:
        connection.execute(text("drop index entries_by_pump"))
        connection.execute(text("alter table entries add column smell varchar(10)"))
    with depot._engine.connect() as connection:
        found = str(compare_metadata(MigrationContext.configure(connection), metadata))
    assert "smell" in found
    assert "entries_by_pump" in found


def test_head_is_the_last_migration() -> None:
    assert ScriptDirectory.from_config(migrations()).get_current_head() == HEAD


def test_migrations_lead_back_too(depot: Depot) -> None:
    with depot._writer.begin() as connection:
        command.downgrade(migrations(connection), "base")
    with depot._engine.connect() as connection:
        assert inspect(connection).get_table_names() == ["alembic_version"]


def test_a_record_of_a_later_version_is_left_alone(depot_place: str) -> None:
    with Depot.open(depot_place) as depot, depot._writer.begin() as connection:
        connection.execute(text("update alembic_version set version_num = '9999'"))
    with pytest.raises(StorageFailed, match=r"later version.*update"):
        Depot.open(depot_place)


@pytest.mark.postgresql
def test_a_database_in_another_encoding_is_refused(postgresql_url: str) -> None:
    url = make_url(postgresql_url)
    latin = url.set(database=f"{url.database}_latin")
    name = sql.Identifier(latin.database)
    with psycopg.connect(postgresql_url, autocommit=True) as server:
        server.execute(
            sql.SQL("create database {} encoding 'LATIN1' locale 'C' template template0").format(
                name
            )
        )
        try:
            with pytest.raises(StorageFailed, match=r"LATIN1.*UTF8"):
                Depot.open(latin.render_as_string(hide_password=False))
        finally:
            server.execute(sql.SQL("drop database {} with (force)").format(name))


@pytest.mark.postgresql
def test_another_program_s_postgresql_database_is_left_alone(postgresql_url: str) -> None:
    with psycopg.connect(postgresql_url) as server:
        server.execute("create table stamps (x int)")
    with pytest.raises(StorageFailed, match="belongs to another program"):
        Depot.open(postgresql_url)
    with psycopg.connect(postgresql_url) as server:
        names = server.execute("select tablename from pg_tables where schemaname = 'public'")
        assert names.fetchall() == [("stamps",)]
