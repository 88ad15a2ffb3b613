from dataclasses import replace

from asking import values

from thermo.braze import Leeway
from thermo.braze.limits import OF_FILLER, LimitName, thresholds
from thermo.show.documents.rods import rods_document
from thermo.show.printing import WIDTH, as_text
from thermo.show.tables.rods import answer, rods_text
from thermo.show.wording.rods import by_kelvin, first_to_trip
from thermo.study.rods import RodRow


def flat(text):
    return " ".join(text.split())


def test_document_has_a_row_for_each_rod_and_aim(rod_rows):
    rows, case = rod_rows
    document = values(rods_document(rows, case))
    assert set(document) == {"schema", "case", "title", "version", "cautions", "rows"}
    assert document["schema"] == "brazeclock/rods/1"
    told = [(row["rod_diameter_mm"], row["aim"]) for row in document["rows"]]
    assert told == [(d, aim) for d in (0.6, 1.6) for aim in ("ball", "mouth", "rod")]
    for row in document["rows"]:
        assert {"stages", "limits", "leeway", "rod_max_C", "rod_lead_K"} < set(row)
        limits = {limit["name"]: limit for limit in row["limits"]}
        assert row["rod_max_C"] == limits["rod too hot"]["value"]
        assert row["rod_lead_K"] >= limits["rod ahead of the gap"]["value"] >= 0
        filled = next(stage for stage in row["stages"] if stage["name"] == "filled")
        hang_on_it = [x for x in row["limits"] if x["name"] not in OF_FILLER and x["spoils"]]
        within = filled["time_s"] is not None and all(limit["ok"] for limit in hang_on_it)
        assert row["within_limits"] == within


def test_text_has_margins_the_answer_cautions_and_no_band(rod_rows):
    text = as_text(rods_text(*rod_rows))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert text.count("on the ball") >= 4  # two rods in two tables
    for words in ("Thinnest rod", "No band yet", "keep its mouth open", "takes a danger away"):
        assert words in flat(text)
    assert "safe" not in text.casefold()


def test_margins_are_limit_less_value(rod_rows):
    rows, _ = rod_rows
    text = as_text(rods_text(*rod_rows))
    table = text[text.index("Margin to each limit") :].splitlines()[2:8]
    for line, (row, aim) in zip(
        table, [(row, aim) for row in rows for aim in ("ball", "mouth", "rod")], strict=True
    ):
        exact = [limit.limit - limit.value for limit in by_kelvin(row.runs[aim])]
        assert len(exact) == 5
        told = [int(word) for word in line.split()[-len(exact) :]]
        assert all(abs(a - b) <= 0.5 for a, b in zip(told, exact, strict=True))


def test_answer_names_the_thinnest_for_each_aim(rod_rows):
    rows, _ = rod_rows
    thick_alone = [aim for aim in rows[0].runs if not rows[0].within_limits(aim)]
    assert "rod" in thick_alone  # the flame on a bare thin rod
    words = answer(rows)
    assert "at the mouth" in words
    assert words.endswith(("on the rod none of these.", "on the rod 1.6 mm."))


def test_answer_does_not_call_the_thinnest_tried_the_thinnest_there_is(rod_rows):
    rows, _ = rod_rows
    thin, thick = rows
    both = [replace(thin, runs=thick.runs), thick]  # one rod as good as the other
    assert thick.within_limits("mouth")
    assert "at the mouth 0.6 mm (the thinnest tried: a thinner one may do)" in answer(both)
    assert "thinnest tried" not in answer(rows[1:])


def test_first_to_trip(rod_rows):
    rows, _ = rod_rows
    on_rod = rows[0].runs["rod"]
    passed = [limit for limit in on_rod.limits if not limit.ok and limit.name != LimitName.WAITS]
    assert passed
    earliest = min(passed, key=lambda limit: limit.time_s)
    assert first_to_trip(rows[0], "rod").startswith(f"{earliest.name}, at ")
    clean = replace(on_rod, limits=tuple(replace(x, time_s=None) for x in on_rod.limits))

    def told(leeway):
        return first_to_trip(RodRow(1e-3, {"rod": replace(clean, leeway=leeway)}), "rod")

    assert told(Leeway(50.0, 57.0, 7.0, "filler overheated", 30.0)) == (
        "filler overheated, 7 s after its opening"
    )
    assert told(Leeway(50.0, None, None, None, 30.0)) == "none within 30 s of its opening"
    assert told(Leeway(None, None, None, None, 0.0)) == "none"


def test_filler_that_waits_is_no_fault_of_the_rod(rod_rows):
    """Filler at the mouth melts in the flame long before the gap takes it, on any rod."""
    row = rod_rows[0][1]
    run = row.runs["ball"]
    late = [replace(x, time_s=2.0) if x.name == LimitName.WAITS else x for x in run.limits]
    waiting = RodRow(row.rod_diameter, {"ball": replace(run, limits=tuple(late))})
    assert not all(limit.ok for limit in waiting.runs["ball"].limits)
    assert waiting.within_limits("ball")
    assert first_to_trip(waiting, "ball") == first_to_trip(row, "ball")


def test_a_rod_or_ball_that_hardens_makes_no_rod_too_thin(rod_rows):
    """Nor does a coarse grain; one that must stay soft does, and its margin is told."""
    row, case = rod_rows[0][1], rod_rows[1]
    run = row.runs["ball"]

    def with_hard(**more):
        limits = [replace(x, **more) if x.name == LimitName.BALL_HARDENS else x for x in run.limits]
        runs = row.runs | {"ball": replace(run, limits=tuple(limits))}
        return RodRow(row.rod_diameter, runs)

    assert with_hard(time_s=2.0).within_limits("ball")
    assert not with_hard(time_s=2.0, spoils=True).within_limits("ball")
    assert first_to_trip(with_hard(time_s=2.0), "ball") == first_to_trip(row, "ball")
    soft = {
        aim: replace(one, setup=replace(one.setup, stay_soft=("ball",)))
        for aim, one in row.runs.items()
    }
    kept = as_text(rods_text([RodRow(row.rod_diameter, soft)], case))
    assert "Ac1: the part must stay soft" in kept
    assert "Ac1" not in as_text(rods_text(*rod_rows))


def test_every_limit_on_a_temperature_has_a_short_name_and_the_first_of_a_reading_counts(rod_rows):
    run = rod_rows[0][0].runs["ball"]
    by_heat = [one for one in thresholds(run.setup) if one.unit in ("°C", "K") and one.spoils]
    shorts = [name.short for name in LimitName]
    assert len(set(shorts)) == len(shorts)
    shown = {limit.name: limit.limit for limit in by_kelvin(run)}
    for bound in by_heat:
        beside = [b for b in by_heat if b.monitored == bound.monitored]
        assert (bound.name in shown) == (bound.threshold == min(b.threshold for b in beside))
