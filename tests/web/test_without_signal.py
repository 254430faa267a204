"""A technician's day without signal: a real browser, a real server that goes and comes back."""

import json
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

import web
from tests.web.phone import READY, Office, Phone, phone_of
from tests.web.visit import DAY

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Route

    from tests.demo import Demo

ON_DATE = ("--on", DAY)
LEAST_BYTES = 1.9e6
ON = "SELECT id, site_id, recorded_by FROM visit WHERE on_date = :day ORDER BY rowid"
NOT_REACHED = """
  const [sites, on, ids] = given;
  for (const [number, site_id] of sites.entries()) {
    await outbox.keep('records', {id: ids[number], kind: 'visit', site_id, on_date: on,
      hazards_seen: true, ending: 'not reached', left_open: 'gate locked'});
  }
"""
PHOTOGRAPHS = """
  const [visit, site_id, count] = given;
  const canvas = new OffscreenCanvas(1600, 1600);
  const pen = canvas.getContext('2d');
  const noise = pen.createImageData(1600, 1600);
  const sizes = [];
  for (let number = 0; number < count; number += 1) {
    for (let at = 0; at < noise.data.length; at += 65536) {
      crypto.getRandomValues(noise.data.subarray(at, Math.min(at + 65536, noise.data.length)));
    }
    pen.putImageData(noise, 0, 0);
    const blob = await canvas.convertToBlob({type: 'image/jpeg', quality: 0.93});
    sizes.push(blob.size);
    await outbox.keep('photo', {id: crypto.randomUUID(), site_id, visit_id: visit, finding_id: '',
      component_id: null, technician_id: '', taken_at: new Date().toISOString(), caption: 'noise'},
      new File([blob], 'a.jpg', {type: 'image/jpeg'}));
  }
  return sizes;
"""
KEPT = """async () => {
  const db = await new Promise((done) => {
    const asked = indexedDB.open('riserway');
    asked.onsuccess = () => done(asked.result);
  });
  const names = [...db.objectStoreNames];
  const unit = db.transaction(names);
  const count = (name) => new Promise((done) => {
    const asked = unit.objectStore(name).count();
    asked.onsuccess = () => done([name, asked.result]);
  });
  const found = Object.fromEntries(await Promise.all(names.map(count)));
  db.close();
  return {...found, version: db.version};
}"""
A_DAY_OLDER = """async () => {
  const db = await new Promise((done) => {
    const asked = indexedDB.open('riserway');
    asked.onsuccess = () => done(asked.result);
  });
  const facts = db.transaction('facts', 'readwrite').objectStore('facts');
  await new Promise((done) => {
    const asked = facts.get('day');
    asked.onsuccess = () => {
      const older = {...asked.result, since: asked.result.since - 24 * 3600000};
      facts.put(older, 'day').onsuccess = done;
    };
  });
  db.close();
}"""
LYING_OPEN = """async () => {
  const names = await caches.keys();
  const asked = names.map(async (name) => (await caches.open(name)).keys());
  return (await Promise.all(asked)).flat().map(({url}) => new URL(url).pathname);
}"""
UNPLANNED = "Alarm call", "After-flood check"
LEFT_BEHIND = "keys", "aboard", "outbox", "drafts"
ONE, TWO, THREE = (f"{n}0000000-0000-4000-8000-000000000000" for n in (1, 2, 3))


@pytest.fixture
def office(demo: "Demo") -> Iterator[Office]:
    """A server of the invented county, running, on the date on which the county lives."""
    made = Office(demo, *ON_DATE)
    made.start()
    yield made
    made.stop()


def record_a_visit(phone: Phone, site_id: int) -> None:
    """Open a sheet, begin to type, load the page again, close the visit; nobody answers."""
    page = phone.page
    page.goto(f"/gate/{site_id}/{DAY}")
    assert page.locator("h2", has_text="Access").count() == 1
    page.click("text=Record the visit")
    phone.until("document.querySelector('#record.has-script') !== null")
    assert page.evaluate("document.querySelectorAll('#record .state').length") > 0
    for task in UNPLANNED:
        page.select_option("#further", label=task)
        page.click("#add-task button")
    page.click(".task:has(h3:text-is('Alarm call')) .take-off")
    assert page.locator("[data-kind='hour meter']").count() == 1  # both ask for it
    page.fill("[data-kind='flood water line'] .field input", "11")
    page.evaluate("document.querySelector('.other-ending').open = true")
    page.fill("#left_open", "gate locked")
    phone.until("document.querySelector('#record').dataset.draft === 'kept'")
    page.reload()
    phone.until("document.querySelector('#record.has-script') !== null")
    phone.until("document.querySelector('#left_open').value === 'gate locked'")
    assert page.input_value("[data-kind='flood water line'] .field input") == "11"
    phone.not_reached("gate locked, dog behind it")
    phone.until("document.body.dataset.kept === 'yes'")
    assert "Kept on this phone" in page.inner_text(".kept-here")
    assert phone.sideways() == 0


def test_a_whole_day_is_recorded_with_the_server_gone_and_sent_once_it_is_back(
    office: Office, browser: "Browser", tmp_path: Path
) -> None:
    """Sheets, map, order and records; the phone is started again in between."""
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        phone.technician()
        phone.take_along()
        said = page.inner_text("#carry")
        for aboard in (
            "gate sheets",
            "map tiles",
            "Hydraulics page",
            "an alarm call, can be added",
        ):
            assert aboard in said
        assert "Not aboard" not in said
        listed = page.evaluate("async () => (await fetch('/carry/day.json')).json()")
        sites = phone.stops()
        office.stop()
        page.reload()
        phone.until("document.querySelector('.waiting-line')?.hidden === false")
        assert "The server does not answer. This page is the copy of" in phone.line()
        phone.near_the_map()
        page.goto(listed["sealed"]["hydraulics pages"][0])
        assert "Filled in from" in page.inner_text("main")
        page.goto("/day/")
        page.click("#own-order summary")
        page.locator("#own-order [data-move='1']").first.click()
        phone.until_waiting(1)
        record_a_visit(phone, sites[1])
        phone.asked(NOT_REACHED, sites[2:4], DAY, [TWO, THREE])
        sizes = phone.asked(PHOTOGRAPHS, TWO, sites[2], 3)
        assert min(sizes) > LEAST_BYTES
        assert phone.waiting() == 7
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        page.goto("/")
        phone.until("document.querySelector('.waiting-line')?.hidden === false")
        assert "4 records and 3 photos wait on this phone since" in phone.line()
        assert phone.stops() == [sites[0], *sites[2:]]  # two changed places, one is closed
        page.goto("/due/")
        assert "was not taken along" in page.inner_text("#carry-missing")
        phone.until("document.querySelectorAll('#waiting-list > li').length === 7")
        phone.unfold()
        assert phone.wcag() == []
        assert phone.sideways() == 0
        office.start()
        phone.technician()  # a browser that was closed has lost its sign-in, not its records
        phone.until_waiting(0)
        phone.until("document.querySelector('.waiting-line').hidden")
    kept = office.rows(ON, day=DAY)
    assert [site for _, site, _ in kept] == sites[1:4]
    photos = "SELECT count(*), count(DISTINCT digest) FROM photo WHERE visit_id = :visit"
    assert office.rows(photos, visit=TWO) == [(3, 3)]
    notes = office.rows("SELECT text FROM day_note WHERE kind = 'own order'")
    assert len(notes) == 1


def test_what_may_have_arrived_is_sent_again_and_kept_once_and_an_ended_sign_in_loses_nothing(
    office: Office, browser: "Browser", tmp_path: Path
) -> None:
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        phone.technician()
        sites = phone.stops()

        def dies_before_its_answer(route: "Route") -> None:
            answer = route.fetch()
            assert answer.json()["records"][0]["status"] == "kept"
            office.stop()
            route.abort()

        page.route("**/records", dies_before_its_answer)
        phone.asked(NOT_REACHED, sites[:1], DAY, [ONE])
        assert phone.asked("return (await outbox.flush()).state;") == "offline"
        assert phone.waiting() == 1
        page.unroute("**/records")
        office.start()
        said = phone.asked("return (await outbox.flush()).answers;")
        assert said[ONE]["status"] == "kept before"
        assert phone.waiting() == 0

        sent: list[str] = []
        phone.context.on(
            "request", lambda asked: sent.append(asked.url) if asked.method == "POST" else None
        )
        tab = phone.context.new_page()
        tab.goto("/day/")
        phone.asked(NOT_REACHED, sites[1:2], DAY, [TWO])
        phone.asked("outbox.flush();", tab=tab)
        phone.asked("await outbox.flush();")
        assert phone.waiting() == 0
        assert sum(url.endswith("/records") for url in sent) == 1
        tab.close()

        phone.context.clear_cookies()
        phone.asked(NOT_REACHED, sites[2:3], DAY, [THREE])
        assert phone.asked("return (await outbox.flush()).state;") == "sign-in"
        page.evaluate("window.dispatchEvent(new Event('online'))")
        phone.until(
            "document.querySelector('.waiting-line').textContent.includes('sign-in has ended')"
        )
        phone.sign_in("dispatcher", office.demo.password("dispatcher"))
        page.goto("/carry/")
        assert phone.waiting() == 1  # another's record is not sent under this name
        phone.context.clear_cookies()
        phone.technician()
        phone.until_waiting(0)
    kept = office.rows(ON, day=DAY)
    assert [(one, who) for one, _, who in kept] == [(n, "technician") for n in (ONE, TWO, THREE)]


def test_what_the_server_refuses_stays_until_a_person_has_looked(
    office: Office, browser: "Browser", tmp_path: Path
) -> None:
    """Opened, corrected and sent; another one saved as a file, and only then removed."""
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        phone.technician()
        site, other = phone.stops()[:2]
        for one, where in ((ONE, site), (TWO, other)):
            unreadable = {"id": one, "kind": "visit", "site_id": where, "on_date": DAY}
            phone.asked("await outbox.keep('records', given[0]);", unreadable | {"note": "begun"})
        phone.asked("await outbox.flush();")
        assert phone.waiting() == 2
        page.goto("/carry/")
        phone.until("document.querySelectorAll('#waiting-list > li > ul').length === 2")
        assert "a person must look" in phone.line()
        assert "hazards" in page.inner_text("#waiting-list").lower()
        assert phone.wcag() == []
        page.locator("text=Open and correct").first.click()
        phone.until(READY)
        phone.until("document.querySelector('#note').value === 'begun'")
        assert "It was refused" in page.inner_text("main > .flash")
        page.check("input[name=hazards_seen]")
        phone.not_reached("gate locked")
        page.wait_for_url("**/visits/*/report")
        assert phone.waiting() == 1
        page.goto("/carry/")
        phone.until("document.querySelectorAll('#waiting-list > li > ul').length === 1")
        assert page.locator("text=Remove from this phone").count() == 0
        with page.expect_download() as saved:
            page.locator("#waiting-list >> text=Save as a file").click()
        said = json.loads(Path(saved.value.path()).read_text(encoding="utf-8"))
        assert [one["body"]["site_id"] for one in said["records"]] == [other]
        page.locator("text=Remove from this phone").click()
        phone.until_waiting(0)
    assert [one for one, _, _ in office.rows(ON, day=DAY)] == [ONE]


def another_edition(folder: Path) -> Path:
    """Return a folder with the pages as a later version might be: one more step of the database."""
    made = Path(shutil.copytree(Path(web.__file__).parent, folder / "web")).parent
    script = folder / "web/static/carry-store.js"
    words = script.read_text(encoding="utf-8")
    step = "];\n\n/** Whether this browser"
    assert step in words
    later = words.replace(step, "  (db) => { db.createObjectStore('later'); },\n" + step)
    script.write_text(later, encoding="utf-8")
    return made


def test_the_app_is_updated_while_the_outbox_is_full_and_nothing_is_lost(
    office: Office, browser: "Browser", tmp_path: Path
) -> None:
    """An older page stays open beside the newer one, and goes on keeping."""
    later = another_edition(tmp_path / "later")
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        phone.technician()
        phone.take_along()
        sites = phone.stops()
        worker = page.evaluate("navigator.serviceWorker.ready.then(({active}) => active.scriptURL)")
        assert worker == f"{office.url}/sw.js"
        office.stop()
        phone.asked(NOT_REACHED, sites[:2], DAY, [ONE, TWO])
        office.start(later)
        tab = phone.context.new_page()
        phone.context.route("**/records", lambda route: route.abort())  # still no signal for these
        tab.goto("/day/")
        new_script = "document.querySelector('script[src*=\"carry-status\"]').src"
        assert tab.evaluate(new_script) != page.evaluate(new_script)
        assert phone.asked("return (await outbox.waiting()).count;", tab=tab) == 2
        assert page.evaluate(KEPT)["version"] == 2
        phone.asked(NOT_REACHED, sites[2:3], DAY, [THREE])  # by the older page
        assert phone.asked("return (await outbox.waiting()).count;", tab=tab) == 3
        office.stop()
        page.reload()  # the carried copy is of the older edition, and whole
        phone.until("document.querySelector('.waiting-line')?.hidden === false")
        assert "3 records wait" in phone.line()
        phone.context.unroute("**/records")
        office.start(later)
        page.goto("/day/")
        phone.until_waiting(0)
    assert [one for one, _, _ in office.rows(ON, day=DAY)] == [ONE, TWO, THREE]


def test_a_clock_that_is_wrong_by_a_day_is_marked_and_corrected(
    demo: "Demo", browser: "Browser", tmp_path: Path
) -> None:
    """The phone lives yesterday; it is wrong from the start, then it is set right in the field."""
    office = Office(demo)
    office.start()
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        now = datetime.now(UTC)
        page.clock.install(time=now - timedelta(days=1))
        phone.technician()
        phone.asked("await outbox.keep('records', {id: given[0], kind: 'arrival'});", ONE)
        phone.asked("await outbox.flush();")  # refused, but it tells how the clocks stand
        phone.asked("await outbox.discard(given[0]);", ONE)
        today = page.evaluate("document.querySelector('.day-nav input').value")
        phone.open_record(29, today)
        assert (
            "This phone’s clock is 1 d behind; the times shown here are corrected." in phone.line()
        )
        page.click('button[data-now="arrived_at"]')
        shown = page.input_value("#arrived_at")
        phone.not_reached("gate locked")
        page.wait_for_url("**/visits/*/report")
        phone.until_waiting(0)
        assert shown.lstrip("0") in page.inner_text("main")
    ((on_date, offset_s, arrived_at),) = office.rows(
        "SELECT v.on_date, g.device_offset_s, g.arrived_at FROM visit v JOIN gate_visit g"
        " ON g.visit_id = v.id WHERE v.on_date >= :day",
        day=today,
    )
    assert on_date == today
    assert offset_s == pytest.approx(24 * 3600, abs=60)
    kept = datetime.fromisoformat(arrived_at).replace(tzinfo=UTC)
    assert kept + timedelta(seconds=offset_s) == pytest.approx(now, abs=timedelta(minutes=2))
    office.stop()


def test_a_full_phone_says_so_early_and_a_carried_day_ends_with_signing_out_a_day_or_the_office(
    office: Office, browser: "Browser", tmp_path: Path
) -> None:
    with phone_of(browser, office, tmp_path / "phone") as phone:
        page = phone.page
        phone.technician()
        quota: Any = {"origin": office.url, "quotaSize": 60_000_000}
        phone.context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", quota)
        phone.take_along()
        assert "This phone is nearly full:" in page.inner_text("#carry")
        gate = page.locator("#own-order a").first.get_attribute("href") or ""
        raw = page.evaluate(LYING_OPEN)
        assert not [one for one in raw if one.startswith(("/day", "/gate", "/photos", "/sign-in"))]

        office.stop()
        page.goto(gate)
        assert "Access" in page.inner_text("main")
        page.evaluate(A_DAY_OLDER)
        page.goto(gate)
        assert "was not taken along" in page.inner_text("#carry-missing")
        phone.until("document.getElementById('carry').dataset.aboard === ''")
        assert (page.evaluate(KEPT)["aboard"], page.evaluate(KEPT)["keys"]) == (0, 1)

        office.start()
        phone.take_along()
        assert page.evaluate(KEPT)["aboard"] > 0
        office.stop()
        site = int(gate.split("/")[2])
        phone.asked(NOT_REACHED, [site], DAY, [ONE])
        page.reload()
        phone.until("document.querySelector('.waiting-line')?.hidden === false")
        page.click("form.sign-out button")
        assert "Signing out destroys all that is on this phone." in page.inner_text("dialog")
        assert phone.wcag() == []
        page.click("text=Stay signed in")
        assert phone.waiting() == 1
        office.start()
        page.click("form.sign-out button")
        page.click("text=Send, then sign out")
        page.wait_for_url("**/sign-in")
        assert [page.evaluate(KEPT)[name] for name in LEFT_BEHIND] == [0, 0, 0, 0]
        office.stop()
        page.goto(gate)
        assert "was not taken along" in page.inner_text("#carry-missing")

        office.start()
        phone.technician()
        phone.take_along()
        lost = {"Riserway-Wipe": "yes"}
        page.route("**/records", lambda route: route.fulfill(status=401, headers=lost, body="{}"))
        phone.asked(NOT_REACHED, [site], DAY, [TWO])
        phone.asked("await outbox.flush();")
        assert [page.evaluate(KEPT)[name] for name in LEFT_BEHIND] == [0, 0, 0, 0]
    assert [one for one, _, _ in office.rows(ON, day=DAY)] == [ONE]
