"""What comes after the flame, as lines and as JSON values."""

from dataclasses import replace

from asking import values

from thermo.braze.filler.outcome import Dry
from thermo.show.documents.after import after_part
from thermo.show.wording.after import after_lines, steps
from thermo.show.wording.words import format_duration


def test_lines_give_time_text_and_source(run):
    found, _ = run()
    *lines, left = after_lines(found)
    assert left == "… and of heating it again and of how soft it stays: in result.json."
    told = [step for step in steps(found) if step.topic not in ("again", "hardness")]
    assert 0 < len(told) < len(steps(found))
    for line, step in zip(lines, told, strict=True):
        assert f"{step.text} ({step.source})" in line
        timed = step.when_s is not None
        assert line.startswith("Not before ") == timed
        if timed:
            assert line.startswith(f"Not before {format_duration(step.when_s, not_before=True)}: ")
    assert any(step.when_s is not None for step in told)
    assert not any("safe" in line.casefold() for line in lines)


def test_a_gap_with_dry_places_and_what_hardened_leave_nothing_out(run):
    found, _ = run()
    limits = tuple(
        replace(x, value=x.limit + 1.0, time_s=1.0) if x.name == "ball hardens again" else x
        for x in found.limits
    )
    dry = replace(found.filler, dry=Dry(0.2, 0.5, None))
    found = replace(found, limits=limits, filler=dry)
    assert found.aftercare.hardened == ("ball",)
    assert len(list(after_lines(found))) == len(steps(found))


def test_document_has_all_steps(run):
    found, _ = run()
    told = found.aftercare
    document = values(after_part(found))
    assert document["pickle"] is told.pickle is False
    assert document["hollow_mm3"] == 1e9 * told.hollow > 0
    assert document["dry_share"] == told.dry_share
    assert document["black_flux"] is told.black
    assert document["hardened"] == list(told.hardened)
    assert [step["text"] for step in document["steps"]] == [step.text for step in steps(found)]
    assert [step["when_s"] for step in document["steps"]] == [step.when_s for step in steps(found)]
    assert all(set(step) == {"topic", "text", "when_s", "source"} for step in document["steps"])


def test_of_a_joint_that_will_be_heated_again_its_line_is_kept(run):
    found, _ = run()
    lines = list(after_lines(found, again=True))
    again = next(step for step in steps(found) if step.topic == "again")
    assert any(again.text in line for line in lines)
    assert lines[-1] == "… and of how soft it stays: in result.json."
