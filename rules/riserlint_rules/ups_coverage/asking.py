"""What is asked of the UPSs, and of gear."""

from riserlint import Built, Standby, Standbys
from riserlint_rules.ups_coverage.checks import Parameters


class Asking(Standbys):
    """A review: the installation, the standby that is asked, and the share of a UPS to keep in reserve, if any."""

    def __init__(self, built: Built, parameters: Parameters) -> None:
        """Gather what is asked."""
        of_all: Standby | None = None
        if parameters.standby_min is not None:
            at = ("basis", "rule", "ups-coverage", "standby_min")
            of_all = Standby(parameters.standby_min, at, "the basis of design")
        super().__init__(built, of_all)
        self.reserve = parameters.reserve_share
