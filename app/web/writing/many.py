"""A very large number of animals is asked about once more, in the form in which it was typed."""

from wtforms import BooleanField

from app.domain.tank import Site, Tank
from app.services.livestock import arrivals
from app.web.fields import NumberField, PageForm


class ManyForm(PageForm):
    """A form with a number of animals that come."""

    count: NumberField
    many = BooleanField("Yes, so many")

    def ask_many(self, tank: Tank, site: Site) -> None:
        """Ask about a number that is hardly meant, unless it was confirmed; after validating."""
        question = arrivals.many_question(tank.shape, site, int(self.count.number or 0))
        if question and not self.many.data:
            self.complain("many", f"{question} If it is, tick this.")
