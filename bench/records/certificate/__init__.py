"""The certificate of a test: what a customer keeps, from the record alone, on two pages of paper or as a web page."""

from bench.records.certificate.facts import Facts, NoTestYet, facts_of
from bench.records.certificate.given import Given
from bench.records.certificate.giving import Form, Gift, ReasonWanting, give
from bench.records.certificate.page import page
from bench.records.certificate.paper import paper

__all__ = ["Facts", "Form", "Gift", "Given", "NoTestYet", "ReasonWanting", "facts_of", "give", "page", "paper"]
