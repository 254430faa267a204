"""``/health`` for whoever keeps the server running, ``/metrics`` for a program that watches it."""

from flask import Blueprint, Response, jsonify, request

from registry.privacy import may
from registry.records.health import Health
from registry.records.tokens import MEASUREMENTS
from registry.services.health import jobs_by_state, store_health
from web.context import parts, reading
from web.door import reader
from web.watching import measured

pages = Blueprint("health", __name__)
REALM = 'Basic realm="Riserway measurements", charset="UTF-8"'


@pages.get("/health")
def show() -> tuple[Response, int]:
    """Say whether this server can do its work, to anybody: 200, or 503 where it cannot.

    The format is that of the Internet draft draft-inadarei-api-health-check-06.
    """
    found = store_health(parts().store)
    check = {"componentType": "datastore", "status": found.health.value}
    if found.says:
        check["output"] = found.says
    answer = jsonify({"status": found.health.value, "checks": {"store:answers": [check]}})
    answer.content_type = "application/health+json"
    return answer, 503 if found.health is Health.FAIL else 200


@pages.get("/metrics")
def measurements() -> Response:
    """Give the counts of this process, to an administrator or by a token for it."""
    viewer = reader(MEASUREMENTS)
    if viewer is None:
        return Response(
            "Give an administrator's sign-in and, as the password, a token of it for measurements: "
            "riserway user token NAME --reads measurements.\n",
            401,
            {"WWW-Authenticate": REALM},
            mimetype="text/plain",
        )
    if not may(viewer, "read the measurements"):
        return Response("This is for administrators only.\n", 403, mimetype="text/plain")
    with reading() as session:
        jobs = jobs_by_state(session)
    said, media_type = measured().text(jobs, accepts=request.headers.get("Accept", ""))
    return Response(said, content_type=media_type)
