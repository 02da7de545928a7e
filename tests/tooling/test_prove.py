"""Some figures measured anew leave the others as they are."""

from scripts.prove import anew, section

ONE, TWO, NEW = (
    section(f"How fast {n}", f"python -m {n}", kept=True, printed=n) for n in ("one", "two", "new")
)
REPORT = "\n".join(["# Measurements\n", ONE, TWO])


def test_a_section_takes_the_place_of_its_elder_and_nothing_else_moves():
    for of, printed in (("one", ONE), ("two", TWO)):
        again = section(f"How fast {of}", f"python -m {of}", kept=False, printed="quicker")
        assert anew(REPORT, again) == REPORT.replace(printed, again)
        assert anew(anew(REPORT, again), printed) == REPORT


def test_a_new_one_goes_last():
    assert anew(REPORT, NEW) == "\n".join([REPORT, NEW])
