"""The timings of printing run; how long it takes is not judged here, except where it is by far."""

from .paper import batch, lines, memory_after


def test_every_line_of_the_table_runs() -> None:
    found = {line.what: line for line in lines(rounds=1, sheets=2)}
    assert len(found) == 3
    assert all(line.seconds > 0 and line.other_seconds > 0 for line in found.values())
    stored = found["a sheet from storage"]
    assert stored.seconds < stored.other_seconds


def test_a_batch_is_timed() -> None:
    assert batch(2, differs=True, before=1).startswith("2 sheets whose figures all differ: ")


def test_memory_is_told_while_sheets_are_made() -> None:
    told = list(memory_after(2))
    assert [made for made, _ in told] == [1, 2]
    assert all(mib > 0 for _, mib in told)
