"""Other people's tables: every usual way to write one is read to the same numbers, every bad one is a sentence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.tables.read import ColumnGuesses, TableError, preview_table, read_table
from analysis.trace import FloatArray, Trace

Write = Callable[..., Path]

TIME_S = [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5]
EXTENSION_MM = [0.0, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1.05]
FORCE_N = [0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.01]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def to_file(text: str, encoding: str = "utf-8", name: str = "table.csv") -> Path:
        path = tmp_path / name
        path.write_bytes(text.encode(encoding))
        return path

    return to_file


def body(separator: str, decimal: str = ".", scale: tuple[float, float, float] = (1, 1, 1), end: str = "\n") -> str:
    rows = zip(TIME_S, EXTENSION_MM, FORCE_N, strict=True)
    lines = [
        separator.join(f"{value * k:.10g}".replace(".", decimal) for value, k in zip(row, scale, strict=True))
        for row in rows
    ]
    return end.join(lines) + end


def values(column: FloatArray | None) -> list[float]:
    assert column is not None
    return [float(value) for value in column]


def assert_the_pull(trace: Trace, time: bool = True) -> None:
    assert values(trace.force_n) == pytest.approx(FORCE_N, rel=1e-9)
    assert values(trace.extension_mm) == pytest.approx(EXTENSION_MM, rel=1e-9)
    assert trace.time_s is None if not time else values(trace.time_s) == pytest.approx(TIME_S)


def failure(path: Path, **options: str | float) -> str:
    with pytest.raises(TableError) as error:
        read_table(path, **options)  # type: ignore[arg-type]
    sentence = str(error.value)
    assert sentence.isprintable()
    assert sentence.endswith(".")
    assert len(sentence) < 500
    return sentence


# The same pull, written in many ways -----------------------------------------------------------------------

TITLES = [
    "Time (s){0}Extension (mm){0}Force (N)\n",
    "time_s{0}extension_mm{0}force_N\n",
    "Zeit [s]{0}Standardweg [mm]{0}Standardkraft [N]\n",
    "Tempo (s){0}Posição (mm){0}Força (N)\n",
    "Tiempo/s{0}Desplazamiento/mm{0}Carga/N\n",
    "Time{0}Extension{0}Load\n(s){0}(mm){0}(N)\n",
    "Zeit{0}Weg{0}Kraft\ns{0}mm{0}N\n",
    "t/s{0}x/mm{0}F/N\n",
]


@pytest.mark.parametrize("titles", TITLES)
@pytest.mark.parametrize(("separator", "decimal"), [(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ",")])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
def test_titles_separators_decimals_and_encodings(
    write: Write, titles: str, separator: str, decimal: str, encoding: str
) -> None:
    assert_the_pull(read_table(write(titles.format(separator) + body(separator, decimal), encoding)))


@pytest.mark.parametrize("separator", [" ", "   ", "|", " ; ", ", "])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_blanks_bars_and_line_ends(write: Write, separator: str, end: str) -> None:
    titles = separator.join(["Time (s)", "Extension (mm)", "Force (N)"])
    assert_the_pull(read_table(write(titles + end + body(separator, end=end))))


def test_aligned_columns(write: Write) -> None:
    rows = "".join(f"{t:10.2f}{x:12.4f}{f:12.5f}\n" for t, x, f in zip(TIME_S, EXTENSION_MM, FORCE_N, strict=True))
    assert_the_pull(read_table(write("    Time (s)   Crosshead extension (mm)   Load (N)\n" + rows)))


def test_comma_separated_with_quoted_decimal_commas(write: Write) -> None:
    rows = body(";", ",").replace(";", '","').replace("\n", '"\n"')
    text = '"Zeit [s]","Weg [mm]","Kraft [N]"\n"' + rows
    assert_the_pull(read_table(write(text.rstrip('"'))))


def test_quoted_titles_over_two_lines(write: Write) -> None:
    assert_the_pull(read_table(write('"Time\n(s)","Extension\n(mm)","Force\n(N)"\n' + body(","))))


def test_comment_signs_before_titles(write: Write) -> None:
    assert_the_pull(read_table(write("# made by hand\n# time_s extension_mm force_N\n" + body(" "))))


def test_title_lines_above(write: Write) -> None:
    text = (
        "Specimen report;;\nDate;25.11.2026;\nOperator;nobody;\nForce-extension test;Load cell 100 N;\n"
        "Gauge length;30;mm\n\nMax force (N);Elongation (%);Runs\n0,75;3,5;1\n\n"
        "Zeit;Weg;Kraft\ns;mm;N\n\n"
    )
    assert_the_pull(read_table(write(text + body(";", ","))))


def test_text_columns_beside(write: Write) -> None:
    rows = "".join(f"{line},pull\n" for line in body(",").splitlines())
    assert_the_pull(read_table(write("Time (s),Extension (mm),Force (N),Phase\n" + rows)))


def test_thousands(write: Write) -> None:
    text = 'Force (mN);Extension (µm)\n"1,000.5";0\n"2,000.5";1,000\n"12,345.5";2,000\n'
    assert values(read_table(write(text)).force_n) == pytest.approx([1.0005, 2.0005, 12.3455])
    text = "Force (mN);Extension (µm)\n1.000,5;0\n2.000,5;1.000\n12.345,5;2.000\n"
    trace = read_table(write(text))
    assert values(trace.force_n) == pytest.approx([1.0005, 2.0005, 12.3455])
    assert values(trace.extension_mm) == pytest.approx([0, 1, 2])


@pytest.mark.parametrize(
    ("unit", "per_n"),
    [
        ("mN", 1e3),
        ("cN", 1e2),
        ("kN", 1e-3),
        ("gf", 1 / 9.80665e-3),
        ("g", 1 / 9.80665e-3),
        ("kgf", 1 / 9.80665),
        ("lbf", 1 / 4.4482216152605),
    ],
)
def test_force_units(write: Write, unit: str, per_n: float) -> None:
    text = f"Time [s];Extension [mm];Force [{unit}]\n" + body(";", scale=(1, 1, per_n))
    assert_the_pull(read_table(write(text)))


@pytest.mark.parametrize(("unit", "per_mm"), [("µm", 1e3), ("um", 1e3), ("cm", 0.1), ("m", 1e-3), ("in", 1 / 25.4)])
def test_length_units(write: Write, unit: str, per_mm: float) -> None:
    text = f"Time [s];Extension [{unit}];Force [N]\n" + body(";", scale=(1, per_mm, 1))
    assert_the_pull(read_table(write(text)))


@pytest.mark.parametrize(("unit", "per_s"), [("ms", 1e3), ("us", 1e6), ("min", 1 / 60)])
def test_time_units(write: Write, unit: str, per_s: float) -> None:
    text = f"Time [{unit}];Extension [mm];Force [N]\n" + body(";", scale=(per_s, 1, 1))
    assert_the_pull(read_table(write(text)))


@pytest.mark.parametrize(("title", "per_one"), [("Strain (%)", 100), ("Dehnung [%]", 100), ("Strain (mm/mm)", 1)])
def test_strain_with_a_gauge_length(write: Write, title: str, per_one: float) -> None:
    path = write(f"Time [s];{title};Force [N]\n" + body(";", scale=(1, per_one / 30, 1)))
    trace = read_table(path, gauge_length_mm=30, diameter_um=70)
    assert_the_pull(trace)
    assert trace.specimen is not None
    assert (trace.specimen.gauge_length_mm, trace.specimen.diameter_um) == (30, 70)
    assert "give the gauge length" in failure(path)


def test_extension_is_preferred_to_strain_and_position(write: Write) -> None:
    rows = "".join(f"{line};9;{i}\n" for i, line in enumerate(body(";").splitlines()))
    assert_the_pull(read_table(write("Time (s);Extension (mm);Force (N);Strain (%);Position (mm)\n" + rows)))


# Columns given ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("force", "extension", "time"),
    [("lc1 [N]", "x [mm]", "stamp [s]"), ("3 [N]", "2 [mm]", "1 [s]"), ("LC1 (N)", "X[mm]", None)],
)
def test_columns_by_name_or_number_with_a_unit(write: Write, force: str, extension: str, time: str | None) -> None:
    path = write("stamp;x;lc1\n" + body(";"))
    trace = read_table(path, force=force, extension=extension, time=time)
    assert_the_pull(trace, time=time is not None)


def test_a_number_that_is_an_integer(write: Write) -> None:
    path = write("a [s];b [mm];c [N]\n" + body(";"))
    assert_the_pull(read_table(path, force=3, extension=2, time=1))


def test_a_table_without_titles(write: Write) -> None:
    path = write(body(";"))
    assert_the_pull(read_table(path, force="3 [N]", extension="2 [mm]", time="1 [s]"))
    assert "There is no force column among column 1, column 2, column 3: say which it is." in failure(path)


def test_given_columns_win_and_may_change_the_unit(write: Write) -> None:
    path = write("Time (s);Extension (mm);Force (N)\n" + body(";"))
    trace = read_table(path, force="Force [gf]", extension="1 [cm]")
    assert values(trace.force_n) == pytest.approx([f * 9.80665e-3 for f in FORCE_N])
    assert values(trace.extension_mm) == pytest.approx([t * 10 for t in TIME_S])


def test_a_column_that_is_not_there(write: Write) -> None:
    path = write("Time (s);Extension (mm);Force (N)\n" + body(";"))
    sentence = failure(path, force="Load")
    assert "no column “Load” for the force" in sentence
    assert "“Extension (mm)” (column 2)" in sentence
    assert "no column “9”" in failure(path, extension="9")
    assert "no column “0”" in failure(path, extension="0")
    assert "no column “”" in failure(path, force="")


def test_a_unit_of_something_else(write: Write) -> None:
    path = write("Time (s);Extension (mm);Load (kips)\n" + body(";"))
    assert "“kips” is not a unit of force" in failure(path)
    assert "“mm” is not a unit of force" in failure(path, force="Extension (mm)")
    assert "“MN” is not a unit of force" in failure(path, force="3 [MN]")


def test_no_unit_is_asked_for_and_never_guessed(write: Write) -> None:
    path = write("Time (s);Extension (mm);Force\n" + body(";"))
    assert "does not say its unit: give the column with its unit, as in “Force [N]”" in failure(path)
    assert_the_pull(read_table(path, force="Force [N]"))


def test_a_time_without_a_unit_is_left_out_and_said(write: Write) -> None:
    path = write("Time;Extension (mm);Force (N)\n" + body(";"))
    trace = read_table(path)
    assert_the_pull(trace, time=False)
    assert [code for code, _ in trace.notes] == ["time_left_out"]
    assert "does not say its unit" in failure(path, time="Time")


def test_two_columns_that_could_be_it(write: Write) -> None:
    rows = "".join(f"{line};{i}\n" for i, line in enumerate(body(";").splitlines()))
    path = write("Time (s);Extension (mm);Force (N);Force (N)\n" + rows)
    sentence = failure(path)
    assert "Several columns could be the force: “Force (N)” (column 3), “Force (N)” (column 4)" in sentence
    assert "Several columns" in failure(path, force="Force (N)")
    assert_the_pull(read_table(path, force="3"))


def test_two_columns_that_say_the_same(write: Write) -> None:
    rows = "".join(f"{line};{line.split(';')[2]}\n" for line in body(";").splitlines())
    assert_the_pull(read_table(write("Time (s);Extension (mm);Force (N);Force (N)\n" + rows)))


# Summary rows ----------------------------------------------------------------------------------------------

PULL = [(0.1 * i, 0.05 * i) for i in range(40)] + [(4.0, 0.02), (4.1, 0.01)]


def pull_with(write: Write, *rows: str) -> Path:
    lines = [f"{x:.3f};{f:.3f}" for x, f in PULL]
    return write("\n".join(["Extension (mm);Force (N)", *lines, *rows]) + "\n")


@pytest.mark.parametrize(
    ("rows", "reason"),
    [
        (["2.05;1.95"], "its position jumps back"),
        (["4.1;1.95"], "it repeats the largest force"),
        (["Mean;0.98"], "it is not all numbers"),
        (["2.05;"], "it is not all numbers"),
        (["=AVERAGE(A2:A43);=MAX(B2:B43)"], "it is not all numbers"),
        (["", "2.05;1.95"], "its position jumps back"),
    ],
)
def test_a_summary_row_is_noticed_and_said(write: Write, rows: list[str], reason: str) -> None:
    trace = read_table(pull_with(write, *rows))
    assert values(trace.force_n) == pytest.approx([f for _, f in PULL], abs=1e-9)
    assert [code for code, _ in trace.notes] == ["summary_row"]
    assert reason in trace.notes[0][1]
    assert f"({len(PULL) + 1 + len(rows)})" in trace.notes[0][1]


def test_several_summary_rows(write: Write) -> None:
    trace = read_table(pull_with(write, "4.1;1.95", "2.05;0.98", "1.2;0.57", "n;42"))
    assert values(trace.force_n) == pytest.approx([f for _, f in PULL], abs=1e-9)
    assert "rows (44, 45, 46, 47) are summaries" in trace.notes[0][1]


@pytest.mark.parametrize(
    "tail",
    [
        [],
        [(4.2, 0.01)],
        [(4.0, 0.01)],
        [(4.1, 0.01)],
        [(4.2, 1.95)],
        [(4.6, 0.01)],
        [(4.0, 0.01), (3.9, 0.01), (3.8, 0.01)],
    ],
)
def test_what_is_a_sample_stays(write: Write, tail: list[tuple[float, float]]) -> None:
    trace = read_table(pull_with(write, *(f"{x};{f}" for x, f in tail)))
    assert trace.notes == ()
    assert len(values(trace.force_n)) == len(PULL) + len(tail)


def test_a_strand_that_never_broke_ends_at_its_largest_force(write: Write) -> None:
    lines = [f"{0.1 * i:.2f};{0.05 * min(i, 30):.2f}" for i in range(40)]
    trace = read_table(write("Extension (mm);Force (N)\n" + "\n".join(lines)))
    assert (trace.notes, len(values(trace.force_n))) == ((), 40)


# Signs -----------------------------------------------------------------------------------------------------


def signed(write: Write, extension: list[float], force: list[float]) -> Trace:
    rows = "".join(f"{x:.4f};{f:.4f}\n" for x, f in zip(extension, force, strict=True))
    return read_table(write("Position (mm);Force (N)\n" + rows))


RISE = [0.0] * 10 + [0.02 * i for i in range(50)] + [0.0] * 5
MOVE = [0.01 * i for i in range(len(RISE))]


def test_tension_counted_as_negative_is_turned_round_and_said(write: Write) -> None:
    trace = signed(write, MOVE, [-f for f in RISE])
    assert values(trace.force_n) == pytest.approx(RISE)
    assert [code for code, _ in trace.notes] == ["force_sign"]


@pytest.mark.parametrize(
    "force",
    [
        RISE,
        [f - 0.3 for f in RISE],
        [f - 50.0 for f in RISE],
        [-0.3 if i > 59 else f for i, f in enumerate(RISE)],
        [-30.0 if i == 30 else f for i, f in enumerate(RISE * 4)][: len(RISE)],
        [1.0 - 0.01 * i for i in range(len(RISE))],
        [0.0] * len(RISE),
    ],
    ids=["plain", "zero off", "zero far off", "zero under tension", "glitch", "relaxing", "nothing"],
)
def test_other_forces_are_left_as_they_are(write: Write, force: list[float]) -> None:
    trace = signed(write, MOVE, force)
    assert values(trace.force_n) == pytest.approx(force, abs=1e-4)
    assert trace.notes == ()


def test_a_position_that_falls_is_turned_round_and_said(write: Write) -> None:
    trace = signed(write, [120.0 - x for x in MOVE], RISE)
    assert values(trace.extension_mm) == pytest.approx(MOVE, abs=1e-9)
    assert [code for code, _ in trace.notes] == ["extension_sign"]


def test_position_counts_from_the_first_sample_and_may_come_back(write: Write) -> None:
    there_and_back = MOVE + MOVE[::-1]
    trace = signed(write, [7.0 + x for x in there_and_back], RISE + RISE[::-1])
    assert values(trace.extension_mm) == pytest.approx(there_and_back, abs=1e-9)
    assert trace.notes == ()


# Bad tables ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "is empty"),
        ("\n\n \n", "is empty"),
        ("hello", "no rows with two numbers"),
        ("Time (s);Extension (mm);Force (N)\n", "no rows with two numbers"),
        ("Force (N)\n1\n2\n3\n", "no rows with two numbers"),
        ("Extension (mm);Stress (MPa)\n0;1\n1;2\n", "There is no force column among “Extension (mm)”"),
        ("Force (N);Stress (MPa)\n0;1\n1;2\n", "There is no extension column among “Force (N)” (column 1)"),
        ("Extension (mm);Force (N)\n0;1\n1;x\n2;3\n3;4\n", "In row 3, “Force (N)” (column 2), “x” is not a number"),
        ("Extension (mm);Force (N)\n0;1\n1;\n2;3\n3;4\n", "In row 3, “Force (N)” (column 2), there is no number"),
        ("Extension (mm);Force (N)\n0;1\n1;NaN\n2;3\n3;4\n", "“NaN” is not a number"),
        ("Extension (mm);Force (N)\n0;1\n1;inf\n2;3\n3;4\n", "“inf” is not a number"),
        ("Extension (mm);Force (N)\n0;1\n1;1e400\n2;3\n3;4\n", "“1e400” is not a number"),
        (f"Extension (mm);Force (N)\n0;1\n1;{'9' * 400}\n2;3\n3;4\n", "is not a number"),
        ("Extension (mm);Force (N)\n0;1\n1;1e300\n2;3\n3;4\n", "1e+300 in “Force (N)” (column 2) can't be a force"),
        ("Extension (mm);Force (N)\n0;1\n1;2.5\n2;3,5\n3;4.5\n", "“3,5” is not a number"),
        ("Time (s);x (mm);Force (N)\n0;0;1\n1;0;2\n0;0;1\n1;0;2\n", "The time goes back after sample 2"),
        (
            "x (mm);Force (N)\n0;1\n1;2\n2;3\nx (mm);Force (N)\n0;1\n1;2\n",
            "In row 5, “Force (N)” (column 2), “Force (N)” is not a number",
        ),
        ("0,1,1,5\n0,2,1,6\n0,3,1,7\n", "no force column"),
        ("Weg (mm),Kraft (N)\n0,1,1,5\n0,2,1,6\n0,3,1,7\n0,4,1,8\n", "more columns than titles"),
        ("\x00\x01\x02\x03" * 50, "is not a table in text"),
        ("%PDF-1.4\n\x01\x02", "is not a table in text"),
        ('# {"format": "strandbench-pull", "version": 1}\n1,2\n', "read it as a recording"),
    ],
)
def test_a_bad_table_is_one_sentence(write: Write, text: str, what: str) -> None:
    sentence = failure(write(text))
    assert what in sentence
    assert "table.csv" in sentence


def test_titles_can_not_steer_a_screen(write: Write) -> None:
    path = write("Force \x9b31m(N);[red]x\u202e(mm)\n1;y\n2;3\n4;5\n6;7\n")
    assert "“y” is not a number" in failure(path)
    assert preview_table(path).columns == ("Force �31m(N)", "[red]x�(mm)")


@pytest.mark.parametrize(
    ("length", "diameter", "what"),
    [
        (0.0, None, "The gauge length can't be 0 mm"),
        (-30.0, None, "gauge length"),
        (3e6, None, "gauge length"),
        (float("nan"), None, "gauge length"),
        (30.0, -70.0, "The diameter can't be -70 µm: give it in µm, between 1 and 5000."),
        (30.0, 0.0, "diameter"),
        (30.0, float("inf"), "diameter"),
    ],
)
def test_impossible_specimens(write: Write, length: float, diameter: float | None, what: str) -> None:
    path = write("Time (s);Extension (mm);Force (N)\n" + body(";"))
    with pytest.raises(TableError, match=what):
        read_table(path, gauge_length_mm=length, diameter_um=diameter)


def test_no_file_a_folder_and_a_large_file(tmp_path: Path) -> None:
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(10 * 1024**3)
    for path, what in (
        (tmp_path / "no.csv", "There is no file"),
        (tmp_path, "is a folder"),
        (large, "is larger than 64 MB"),
        (tmp_path / ("x" * 300), "can't be read"),
    ):
        with pytest.raises(TableError, match=what):
            read_table(path)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200, deadline=None)
@given(st.binary(max_size=200), st.sampled_from(["", "x (mm);F (N)\n0;1\n1;2\n", "x (mm),F (N)\n0,1\n"]))
def test_any_bytes_are_a_table_or_one_sentence(tmp_path: Path, data: bytes, before: str) -> None:
    path = tmp_path / "any.csv"
    path.write_bytes(before.encode() + data)
    sentence, trace = "", None
    try:
        trace = read_table(path)
    except TableError as error:
        sentence = str(error)
    assert sentence.isprintable()
    assert trace is None or (trace.force_n is not None and bool(np.all(np.isfinite(trace.force_n))))


# Previews --------------------------------------------------------------------------------------------------


def test_preview(write: Write) -> None:
    preview = preview_table(write("Bench;x\nZeit;Weg;Kraft\ns;mm;gf\n" + body(";", ",")))
    assert preview.name == "table.csv"
    assert preview.columns == ("Zeit", "Weg", "Kraft")
    assert (preview.numbers, preview.units) == ((1, 2, 3), ("s", "mm", "gf"))
    assert preview.guesses == ColumnGuesses(time=1, force=3, extension=2)
    assert preview.rows[:2] == (("0", "0", "0"), ("0.5", "0.15", "0.125"))
    assert len(preview.rows) == len(FORCE_N)
    assert (preview.sheet, preview.sheets, preview.problem) == ("", ("",), "")


def test_preview_of_what_can_not_be_told(write: Write) -> None:
    preview = preview_table(write("a;b\n1;2\n3;4\n"))
    assert preview.columns == ("a", "b")
    assert preview.guesses == ColumnGuesses(None, None, None)
    assert "There is no force column" in preview.problem
    nothing = preview_table(write("words only\n"))
    assert (nothing.columns, nothing.rows) == ((), ())
    assert "no rows with two numbers" in nothing.problem
