"""Every room's tables: what is kept, whoever wrote it. A room that is not named here would not be checked."""

from __future__ import annotations

import siteapp.aftercare.models
import siteapp.arrival.models
import siteapp.checks.models
import siteapp.condition.models
import siteapp.dispatch.models
import siteapp.finishing.colour.models
import siteapp.finishing.kit.models
import siteapp.finishing.models
import siteapp.handover.models
import siteapp.hanging.anchors.models
import siteapp.hanging.holes.models
import siteapp.hanging.lifting.models
import siteapp.hanging.loads.models
import siteapp.hanging.pack.models
import siteapp.hanging.route.models
import siteapp.hanging.strength.models
import siteapp.hanging.template.models
import siteapp.hanging.wall.models
import siteapp.heat.appliance.models
import siteapp.heat.evidence.models
import siteapp.heat.testing.models
import siteapp.jobs.models
import siteapp.marks.models
import siteapp.people.models
import siteapp.phones.models
import siteapp.pieces.models
import siteapp.pieces.weighing.models
import siteapp.snags.models
import siteapp.store.models
import siteapp.visits.models  # noqa: F401 - models register their tables when imported
from siteapp.store.base import Base, recorded_tables
from siteapp.store.entries import body_tables

__all__ = ["Base", "body_tables", "recorded_tables"]
