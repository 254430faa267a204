"""Values of fields that wait to be settled, and what became of them; append-only."""

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from registry.store.tables.base import Base, Id


class ProposalRow(Base):
    """A value that somebody wrote for a field and that is not in force."""

    __tablename__ = "proposal"
    id: Mapped[int] = mapped_column(Id, primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    at: Mapped[datetime]
    who: Mapped[str]
    kind: Mapped[str]
    row_id: Mapped[int] = mapped_column(Id)
    field: Mapped[str]
    before: Mapped[str] = mapped_column(default="")
    value: Mapped[str] = mapped_column(default="")
    why: Mapped[str]


class ProposalSettledRow(Base):
    """That a proposal was settled: taken or left."""

    __tablename__ = "proposal_settled"
    proposal_id: Mapped[int] = mapped_column(ForeignKey("proposal.id"), primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str]
    taken: Mapped[bool]
