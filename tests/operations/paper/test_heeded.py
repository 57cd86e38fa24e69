"""Cautions on paper, in its language."""

from __future__ import annotations

from service.documents.words import words_of
from service.operations.paper.heeded import caution_sentences
from tests.given.papers import subject_of


def test_cautions_are_said_in_the_language_of_the_paper() -> None:
    """A caution with the job's own figures behind it is translated too: who digs must read that a
    deep trench needs a way out (29 CFR 1926.651(c)(2))."""
    subject = subject_of("driveway_into_bank")
    english = " ".join(caution_sentences(subject, "crew", words_of("en")))
    spanish = " ".join(caution_sentences(subject, "crew", words_of("es")))
    assert "The trench is 4 ft deep or deeper" in english
    assert "The trench is 4 ft deep or deeper" not in spanish
    assert "Del fondo de la zanja a lo alto del corte: 4.17 ft" in spanish
    codes = [caution.code for caution in subject.answer.cautions]
    texts = {rule.code: rule.text for rule in subject.quote.job.jurisdiction.cautions}
    said = [words_of("es").say_data(texts[code]) for code in codes]
    assert all(told != texts[code] for code, told in zip(codes, said, strict=True))


def test_customers_read_no_caution_of_the_office_or_the_crew() -> None:
    """How a unit is lifted and how tax is taken are nobody's business who buys a wall."""
    subject = subject_of("driveway_into_bank")
    text = " ".join(caution_sentences(subject, "customer", words_of("en")))
    assert "have buried utilities located" in text.lower()
    for word in ("lifting index", "Handheld saw", "Sales tax", "overhead lines"):
        assert word not in text
