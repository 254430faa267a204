from registry.privacy import ACTS, CHANGES, HIDDEN, PROPOSES
from registry.records.changes import Role
from tests.docs.tables import rows


def test_the_document_says_of_every_act_who_may_do_it() -> None:
    said = {row[0]: row[1:] for row in rows("docs/roles.md", "act")}
    assert said == {
        act: ["yes" if role in roles else "" for role in Role] for act, roles in ACTS.items()
    }


def test_the_document_names_every_hidden_field() -> None:
    said = {row[0]: row[1].replace("`", "") for row in rows("docs/roles.md", "record")}
    assert said == {
        record.__name__: ", ".join(sorted(roles[Role.COUNTY])) for record, roles in HIDDEN.items()
    }


def test_the_document_names_every_field_that_a_role_may_change() -> None:
    said = {
        (row[0], row[1]): (row[2].replace("`", ""), row[3].replace("`", ""))
        for row in rows("docs/roles.md", "changes of")
    }
    nothing: frozenset[str] = frozenset()
    both = {
        (record.__name__, role.value): (
            ", ".join(sorted(CHANGES[record].get(role, nothing))),
            ", ".join(sorted(PROPOSES.get(record, {}).get(role, nothing))),
        )
        for record in CHANGES
        for role in Role
    }
    assert said == {key: fields for key, fields in both.items() if any(fields)}
