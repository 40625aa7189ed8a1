from webapp.records.columns import COLUMNS, describe_columns
from webapp.records.studio_file import kept_tables


def test_every_column_of_every_table_is_described_and_none_besides() -> None:
    assert {t.name: {c.name for c in t.columns} for t in kept_tables()} == {t: set(c) for t, c in COLUMNS.items()}


def test_the_readme_names_them_all() -> None:
    readme = describe_columns()
    for table, columns in COLUMNS.items():
        assert f"\n{table}.csv\n" in readme
        assert all(f"\n  {name}: {meaning}\n" in readme for name, meaning in columns.items())
