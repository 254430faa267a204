"""All tables; importing this fills ``Base.metadata``."""

from registry.store.tables.base import Base
from registry.store.tables.calls import CallMadeRow
from registry.store.tables.crew import (
    DayOffRow,
    DisposalSiteRow,
    FillPointRow,
    LicenceRow,
    TechnicianRow,
    TruckRow,
)
from registry.store.tables.day_notes import DayNoteRow
from registry.store.tables.days import (
    DayRow,
    ErrandRow,
    HoldRow,
    JobRow,
    RouteRow,
    RuleOutRow,
    VisitLinkRow,
)
from registry.store.tables.flood import BfeLineRow, DatumGridRow, FloodAreaRow, FloodFactRow
from registry.store.tables.gate_visits import FindingRow, GateVisitRow, VisitSettledRow
from registry.store.tables.guarding import ErasureRow, PrivateReadRow, RecoveryCodeRow
from registry.store.tables.letters import LetterRow
from registry.store.tables.merges import SiteMergeRow, SitesApartRow
from registry.store.tables.moving_in import (
    ForeignRow,
    KnownPlaceRow,
    MatchOfferRow,
    PlaceOfferRow,
)
from registry.store.tables.people import (
    ChangeRow,
    ImportRow,
    RequestCountRow,
    SettingRow,
    SignInTryRow,
    UserJurisdictionRow,
    UserRow,
)
from registry.store.tables.phones import PairingRow, PhoneRow
from registry.store.tables.photos import PhotoContentRow, PhotoRow, PhotoTakenBackRow
from registry.store.tables.places import (
    AgreementRow,
    FirmRow,
    JurisdictionRow,
    ServiceWindowRow,
    SiteRow,
    WindowExceptionRow,
)
from registry.store.tables.proposals import ProposalRow, ProposalSettledRow
from registry.store.tables.reports import FindingMendedRow, ReportRuleRow, ReportSentRow
from registry.store.tables.reports_in import LicensedRow, ReportInBackRow, ReportInRow
from registry.store.tables.rivers import (
    ComponentStageRow,
    GaugeRow,
    LowPointRow,
    RiverLevelRow,
    RiverLineRow,
    StageRow,
)
from registry.store.tables.roads import RoadClosureRow, RoadSpeedRow
from registry.store.tables.seasons import SeasonRow, SeasonVisitRow
from registry.store.tables.systems import ComponentRow, PermitConditionRow, SystemRow
from registry.store.tables.tokens import AccessTokenRow
from registry.store.tables.views import SavedViewRow
from registry.store.tables.visits import ReadingRow, VisitRow, VisitTaskRow
from registry.store.tables.work import (
    IntervalRuleRow,
    ObligationRow,
    ReadingKindRow,
    SystemDueRow,
    TaskKindRow,
)

__all__ = [
    "AccessTokenRow",
    "AgreementRow",
    "Base",
    "BfeLineRow",
    "CallMadeRow",
    "ChangeRow",
    "ComponentRow",
    "ComponentStageRow",
    "DatumGridRow",
    "DayNoteRow",
    "DayOffRow",
    "DayRow",
    "DisposalSiteRow",
    "ErasureRow",
    "ErrandRow",
    "FillPointRow",
    "FindingMendedRow",
    "FindingRow",
    "FirmRow",
    "FloodAreaRow",
    "FloodFactRow",
    "ForeignRow",
    "GateVisitRow",
    "GaugeRow",
    "HoldRow",
    "ImportRow",
    "IntervalRuleRow",
    "JobRow",
    "JurisdictionRow",
    "KnownPlaceRow",
    "LetterRow",
    "LicenceRow",
    "LicensedRow",
    "LowPointRow",
    "MatchOfferRow",
    "ObligationRow",
    "PairingRow",
    "PermitConditionRow",
    "PhoneRow",
    "PhotoContentRow",
    "PhotoRow",
    "PhotoTakenBackRow",
    "PlaceOfferRow",
    "PrivateReadRow",
    "ProposalRow",
    "ProposalSettledRow",
    "ReadingKindRow",
    "ReadingRow",
    "RecoveryCodeRow",
    "ReportInBackRow",
    "ReportInRow",
    "ReportRuleRow",
    "ReportSentRow",
    "RequestCountRow",
    "RiverLevelRow",
    "RiverLineRow",
    "RoadClosureRow",
    "RoadSpeedRow",
    "RouteRow",
    "RuleOutRow",
    "SavedViewRow",
    "SeasonRow",
    "SeasonVisitRow",
    "ServiceWindowRow",
    "SettingRow",
    "SignInTryRow",
    "SiteMergeRow",
    "SiteRow",
    "SitesApartRow",
    "StageRow",
    "SystemDueRow",
    "SystemRow",
    "TaskKindRow",
    "TechnicianRow",
    "TruckRow",
    "UserJurisdictionRow",
    "UserRow",
    "VisitLinkRow",
    "VisitRow",
    "VisitSettledRow",
    "VisitTaskRow",
    "WindowExceptionRow",
]
