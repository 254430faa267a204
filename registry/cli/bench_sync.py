"""How long a phone's full outbox takes to be sent, in a real browser before a real server."""

from typing import TYPE_CHECKING, Any

from registry.errors import ConfigError

if TYPE_CHECKING:
    from playwright.sync_api import Page

RECORDS, PHOTOS = 200, 60
FORMS = 20
"""So many sites' forms are filled in; the visits go round among them."""
FILL = """async ([on, records, photos, forms]) => {
  const page = document.querySelector('script[src*="carry-status"]').src;
  const outbox = await import(page.replace('carry-status', 'outbox'));
  const middle = ({usual, possible}) => (usual ?? possible ?? [1, 1]).reduce((a, b) => a + b) / 2;
  const told = [];
  for (let site = 1; site <= forms; site += 1) {
    const answer = await fetch(`/gate/${site}/${on}/form.json`);
    if (answer.ok) told.push(await answer.json());
  }
  const visit = (form) => ({
    id: crypto.randomUUID(), kind: 'visit', site_id: form.site_id, on_date: on,
    hazards_seen: true, ending: 'had to leave', left_open: 'measured', device_offset_s: 0,
    outcomes: form.tasks.map(({system_id, task}) => (
      {system_id, task, outcome: 'partly', note: 'measured'})),
    readings: form.tasks.flatMap((task) => task.readings).filter(({kind}) => (
      form.checks.kinds[kind]?.input === 'number')).map((one) => ({
        kind: one.kind, system_id: one.system_id, component_id: one.component_id,
        value: String(Math.round(middle(form.checks.kinds[one.kind]))),
        answer: form.checks.keep[0], note: ''})),
  });
  const canvas = new OffscreenCanvas(1600, 1200);
  const pen = canvas.getContext('2d');
  for (let at = 0; at < 4000; at += 1) {
    pen.fillStyle = `hsl(${(at * 47) % 360} 60% 50%)`;
    pen.fillRect((at * 389) % 1600, (at * 631) % 1200, 40, 30);
  }
  let bytes = 0;
  for (let number = 0; number < records; number += 1) {
    const one = visit(told[number % told.length]);
    await outbox.keep('records', one);
    if (number < photos) {
      pen.fillText(String(number), 20, 20 + number);
      const blob = await canvas.convertToBlob({type: 'image/jpeg', quality: 0.85});
      bytes += blob.size;
      await outbox.keep('photo', {id: crypto.randomUUID(), site_id: one.site_id, visit_id: one.id,
        finding_id: '', component_id: null, technician_id: '', caption: '', device_offset_s: 0,
        taken_at: new Date().toISOString()}, new File([blob], 'a.jpg', {type: 'image/jpeg'}));
    }
  }
  return bytes / Math.max(photos, 1);
}"""
SEND = """async () => {
  const page = document.querySelector('script[src*="carry-status"]').src;
  const outbox = await import(page.replace('carry-status', 'outbox'));
  const {records, photos} = await outbox.waiting();
  const began = performance.now();
  const {state} = await outbox.flush();
  const took_s = (performance.now() - began) / 1000;
  const left = (await outbox.items()).map(({complaints}) => (complaints ?? ['not sent'])[0]);
  return {state, records, photos, took_s, left};
}"""


def sync_measured(page: "Page", on: str) -> dict[str, Any]:
    """Fill the outbox of a page that is signed in, send all, and say how long that took.

    Raises
    ------
    ConfigError
        If anything was not sent.
    """
    page.route("**/records", lambda route: route.abort())  # the page sends by itself; not yet
    page.route("**/photos", lambda route: route.abort())
    photo_bytes = page.evaluate(FILL, [on, RECORDS, PHOTOS, FORMS])
    page.unroute_all()
    told = page.evaluate(SEND)
    if told["state"] != "sent" or told["left"]:
        raise ConfigError(f"The outbox was not sent: {told['state']}, {told['left'][:1]}.")
    return {
        "sync_records": told["records"],
        "sync_photos": told["photos"],
        "sync_photo_bytes": round(photo_bytes),
        "sync_s": round(told["took_s"], 2),
    }
