"""A file that is handed in on one page and used on the next."""

from flask_wtf.file import FileField
from wtforms import HiddenField

from app.domain.errors import Refused
from app.services.sheets import incoming
from app.web.fields import PageForm
from app.web.request import database, now, visitor

_LONGEST_NAME = 120


class FileForm(PageForm):
    """A form with a file; from its second page on the file is kept under the form's token."""

    file = FileField("The file")
    file_name = HiddenField("File name")


def handed_in(form: FileForm) -> bytes | None:
    """The file that came with this post or a page ago; None with a sentence beside its field."""
    author_id = visitor().author_id
    try:
        if form.file.data:
            content = bytes(form.file.data.read())
            form.file_name.data = (form.file.data.filename or "file")[-_LONGEST_NAME:]
            with database().writing() as session:
                incoming.hold(session, form.once, content, author_id=author_id, now=now())
            return content
        if form.file_name.data:
            with database().reading() as session:
                return incoming.held(session, form.once, author_id=author_id)
        form.complain("file", "Choose a file.")
    except Refused as refused:
        form.complain("file", str(refused))
    return None
