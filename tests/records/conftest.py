from __future__ import annotations

from tests.records.server_fixtures import records_server, records_url, running_cluster

__all__ = ["records_server", "records_url", "running_cluster"]
