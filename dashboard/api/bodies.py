"""What programs send: JSON in UTF-8, of bounded size, as it is."""

from flask import request
from werkzeug.exceptions import (
    BadRequest,
    RequestEntityTooLarge,
    UnsupportedMediaType,
)

LARGEST_BODY = 4_000_000


def text_of_request(media_types: tuple[str, ...] = ("application/json",)) -> str:
    """The text of the body.

    Raises
    ------
    UnsupportedMediaType : it is compressed, of another kind or another encoding
    BadRequest : it is not what its head says
    """
    if request.headers.get("Content-Encoding", "identity") != "identity":
        raise UnsupportedMediaType
    charset = request.mimetype_params.get("charset", "utf-8").casefold()
    if request.mimetype not in media_types or charset not in {"utf-8", "utf8"}:
        raise UnsupportedMediaType
    if (request.content_length or 0) > LARGEST_BODY:
        raise RequestEntityTooLarge
    request.max_content_length = LARGEST_BODY
    content = request.get_data(cache=False)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadRequest from None
