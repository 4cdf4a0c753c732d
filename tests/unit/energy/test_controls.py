"""Controls: factors, overlap, standby."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.energy.controls import (
    control_saving,
    controls_of_job,
    kwh_with_controls,
    motion_with_standby,
    usual_standby,
)
from engine.figure import defined
from engine.tables import load_tables

TABLES = load_tables()


def share(name: str, value: float):
    return defined(name, value, "1", "test")


def test_photocells_and_timers_are_hours_and_not_a_saving_on_top() -> None:
    saving = control_saving(TABLES, ["photocell", "timer"], "exterior")

    assert saving.figure is None
    assert [n.values["control"] for n in saving.notes if n.key == "control_sets_hours"] == [
        "photocell",
        "timer",
    ]


def test_outdoors_two_controls_multiply() -> None:
    saving = control_saving(TABLES, ["motion", "dimming"], "exterior").figure

    assert saving is not None
    assert saving.value == pytest.approx(1 - 0.75 * 0.75)


def test_indoors_two_controls_save_no_more_than_was_measured_for_several_together() -> None:
    both = control_saving(TABLES, ["motion", "dimming"], "interior")

    assert both.figure is not None
    assert both.figure.value == pytest.approx(0.38)
    assert "controls_overlap" in [note.key for note in both.notes]


def test_two_controls_save_more_than_either() -> None:
    for environment in ("interior", "industrial", "garage", "exterior"):
        both = control_saving(TABLES, ["motion", "dimming"], environment).figure
        assert both is not None
        for one in ("motion", "dimming"):
            single = control_saving(TABLES, [one], environment).figure
            assert single is not None
            assert both.value > single.value


def test_motion_indoors_asks_about_ways_out() -> None:
    assert "motion_on_egress" in [n.key for n in control_saving(TABLES, ["motion"], "garage").notes]
    assert "motion_on_egress" not in [n.key for n in control_saving(TABLES, ["motion"], "exterior").notes]


def test_a_job_works_each_control_out_once() -> None:
    job = controls_of_job(TABLES)

    assert job.of(("motion",), "interior") is job.of(["motion"], "interior")


def test_the_usual_standby_is_a_quarter_saved() -> None:
    assert motion_with_standby(*usual_standby()).value == pytest.approx(0.25)


@given(st.floats(0, 1), st.floats(0, 1))
def test_standby_saves_between_nothing_and_the_vacant_share(vacant: float, level: float) -> None:
    saving = motion_with_standby(share("vacant_share", vacant), share("standby_level", level)).value

    assert 0 <= saving <= vacant


@pytest.mark.parametrize(("vacant", "level"), [(1.2, 0.5), (0.5, -0.1)])
def test_a_share_beyond_all_or_nothing_is_refused(vacant: float, level: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        motion_with_standby(share("vacant_share", vacant), share("standby_level", level))


def test_energy_with_controls_is_what_they_leave() -> None:
    kw, hours = defined("kw", 2.0, "kW", "test"), defined("hours_per_year", 4000.0, "h/yr", "test")

    assert kwh_with_controls(kw, hours, None, "kwh").value == pytest.approx(8000)
    assert kwh_with_controls(kw, hours, share("control_savings", 0.3), "kwh").value == pytest.approx(5600)
