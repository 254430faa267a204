"""The engine's process: started when asked, started again after a crash, gone when closed."""

import os
import shutil
import signal

import numpy as np
import pytest

from registry.basemap.revisions import current_folder
from registry.errors import RoadError
from registry.roads.osrm_build import NAME, OPEN, osrm_version
from registry.roads.osrm_process import OsrmProcess
from tests.osm_town import street

pytestmark = pytest.mark.skipif(not osrm_version(), reason="OSRM is not to be had here.")

QUESTION = [list(street(0, 0)), list(street(3, 3))]


@pytest.fixture
def network(town_roads):
    return current_folder(town_roads) / OPEN / NAME


@pytest.fixture
def process():
    opened = OsrmProcess()
    yield opened
    opened.close()


def child(process):
    return process._process


def test_no_process_runs_before_the_first_question(process):
    assert child(process) is None


def test_a_second_question_goes_to_the_same_process(process, network):
    process.ask(network, "table", QUESTION)
    first = child(process).pid
    process.ask(network, "line", QUESTION)
    assert child(process).pid == first


def test_a_killed_process_is_started_again_with_the_same_answer(process, network):
    before = process.ask(network, "table", QUESTION)["travel_s"]
    os.kill(child(process).pid, signal.SIGKILL)
    np.testing.assert_array_equal(process.ask(network, "table", QUESTION)["travel_s"], before)


def test_a_closed_process_is_gone_and_waited_for(process, network):
    process.ask(network, "table", QUESTION)
    ended = child(process)
    process.close()
    assert ended.returncode == 0
    with pytest.raises(ProcessLookupError):
        os.kill(ended.pid, 0)


def test_a_refused_question_is_told_and_the_next_one_is_answered(process, network):
    with pytest.raises(RoadError, match="OSRM cannot answer"):
        process.ask(network, "table", QUESTION[:1])
    assert process.ask(network, "line", QUESTION)["line"].shape[1] == 2


def test_a_network_that_is_not_there_is_told_with_the_reason(process, tmp_path):
    with pytest.raises(RoadError, match="ended 2 times") as told:
        process.ask(tmp_path / "roads.osrm", "table", QUESTION)
    assert "Import the roads again" in str(told.value)


def test_one_process_answers_about_many_networks(process, network, tmp_path):
    before = process.ask(network, "table", QUESTION)["travel_s"]
    first = child(process).pid
    for number in range(6):  # more than are kept open
        copy = tmp_path / str(number)
        shutil.copytree(network.parent, copy)
        answer = process.ask(copy / NAME, "table", QUESTION)["travel_s"]
        np.testing.assert_array_equal(answer, before)
    np.testing.assert_array_equal(process.ask(network, "table", QUESTION)["travel_s"], before)
    assert child(process).pid == first
