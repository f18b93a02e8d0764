"""An S3-compatible store: objects put, fetched, listed and removed under one prefix, each failure told in one clear line.

Key and secret come from the environment, never from the address, and stand in no message.
"""

import hashlib
import os
import re
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final, TypeVar

from threequarter.golf.errors import NotNowError, NotThereError, UserError
from threequarter.golf.message import Message

SCHEME: Final = "s3://"
ADDRESS: Final = re.compile(r"s3://([a-z0-9][a-z0-9.-]{1,61}[a-z0-9])(?:/([A-Za-z0-9._/-]{0,200}))?")
KEY, SECRET, TOKEN = "AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY", "AWS_SESSION_TOKEN"
CHUNK: Final = 2**20
PART: Final = 16 * 2**20
"""Larger files are sent in parts of so many bytes; they are an object only when the last one is there."""
CONNECT_S, ANSWER_S, TRIES = 3, 20, 2
REFUSED: Final = (
    "AccessDenied",
    "InvalidAccessKeyId",
    "SignatureDoesNotMatch",
    "ExpiredToken",
    "InvalidToken",
    "401",
    "403",
)
MISSING: Final = ("NoSuchKey", "404", "NotFound")
NOT_OFFERED: Final = ("NotImplemented", "MethodNotAllowed", "AccessDenied", "InvalidRequest", "501", "405")
T = TypeVar("T")
SHA256: Final = "sha256"
"""The name under which an object bears the sum of its bytes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class S3Object:
    """An object: its name under the prefix, its size in bytes, when it was put."""

    name: str
    size: int
    put_at: datetime


class S3Objects:
    """The objects under a prefix of a bucket. Nothing is asked before the first call.

    Every method raises NotNowError where the store cannot be reached or refuses, and nothing was done then.
    """

    def __init__(self, address: str) -> None:
        """Takes an address apart. Raises UserError for one that is not s3://bucket or s3://bucket/prefix."""
        told = ADDRESS.fullmatch(address.rstrip("/"))
        if told is None or ".." in address:
            raise UserError(Message("store.the_store_of_films_is", key=KEY, secret=SECRET))
        self.bucket = told[1]
        self.prefix = f"{told[2].strip('/')}/" if told[2] else ""
        self.place = f"{SCHEME}{self.bucket}/{self.prefix}".rstrip("/")
        self._made: Any = None
        self._lock = threading.Lock()

    @property
    def _client(self) -> Any:
        with self._lock:
            if self._made is None:
                self._made = _client(self.place)
            return self._made

    def put(self, name: str, path: Path, digest: str) -> None:
        """Puts a file, whole or not at all; the store checks the sum of what arrives, and its size is asked for afterwards.

        Nobody else puts one of that name meanwhile, so parts that lie there are of a time before that did not come through.
        """
        from boto3.s3.transfer import TransferConfig

        how = TransferConfig(multipart_threshold=PART, multipart_chunksize=PART, max_concurrency=4)
        with _told(self.place):
            for upload in self._uploads(name) if path.stat().st_size >= PART else ():
                self._abort(upload)
            self._client.upload_file(
                str(path), self.bucket, self.prefix + name, ExtraArgs={"Metadata": {SHA256: digest}}, Config=how
            )
            found = self._client.head_object(Bucket=self.bucket, Key=self.prefix + name)
        if (found["ContentLength"], found["Metadata"].get(SHA256)) != (path.stat().st_size, digest):
            raise NotNowError(Message("store.did_not_arrive_whole_in", file=path.name, place=self.place))

    def write(self, name: str, content: bytes) -> None:
        """Puts a few bytes."""
        with _told(self.place):
            self._client.put_object(Bucket=self.bucket, Key=self.prefix + name, Body=content)

    def read(self, name: str) -> bytes:
        """The bytes of a small object. Raises NotThereError."""
        with _told(self.place):
            return bytes(self._client.get_object(Bucket=self.bucket, Key=self.prefix + name)["Body"].read())

    def fetch(self, name: str, target: Path | None) -> tuple[str, str | None]:
        """Writes an object into a file (None: only reads it); returns the sum of what came, and the one it bears. Raises NotThereError."""
        digest = hashlib.sha256()
        with _told(self.place):
            answer = self._client.get_object(Bucket=self.bucket, Key=self.prefix + name)
            with target.open("wb") if target else open(os.devnull, "wb") as out:  # noqa: PTH123
                for chunk in answer["Body"].iter_chunks(CHUNK):
                    digest.update(chunk)
                    out.write(chunk)
                out.flush()
                if target:
                    os.fsync(out.fileno())
        return digest.hexdigest(), answer["Metadata"].get(SHA256)

    def names(self, under: str = "") -> list[S3Object]:
        """The objects whose names begin so."""
        with _told(self.place):
            pages = self._client.get_paginator("list_objects_v2").paginate(
                Bucket=self.bucket, Prefix=self.prefix + under
            )
            found = [one for page in pages for one in page.get("Contents", ())]
        return [
            S3Object(name=one["Key"].removeprefix(self.prefix), size=one["Size"], put_at=one["LastModified"])
            for one in found
        ]

    def remove(self, under: str) -> None:
        """Removes every object whose name begins so, earlier versions and parts of unfinished ones too, and looks that none is left."""
        with _told(self.place):
            for upload in self._uploads(under):
                self._abort(upload)
            for one in [*self._versions(under), *({"Key": self.prefix + found.name} for found in self.names(under))]:
                self._client.delete_object(Bucket=self.bucket, **one)
        if self._versions(under) or self.names(under):
            raise NotNowError(Message("store.not_everything_could_be_removed", place=self.place))

    def remove_one(self, name: str) -> None:
        """Removes one small object, and what a bucket keeps of it."""
        with _told(self.place):
            self._client.delete_object(Bucket=self.bucket, Key=self.prefix + name)
            for version in self._versions(name):
                self._client.delete_object(Bucket=self.bucket, **version)

    def forget_unfinished(self, before: datetime) -> int:
        """Removes the parts of objects that were begun before a time and never came whole; returns of how many."""
        with _told(self.place):
            old = [upload for upload in self._uploads("") if upload["Initiated"] < before]
            for upload in old:
                self._abort(upload)
        return len(old)

    def keeps_versions(self) -> bool:
        """Whether the bucket keeps what is removed or put over, as far as the store says."""
        with _told(self.place):
            return _offered(lambda: "Status" in self._client.get_bucket_versioning(Bucket=self.bucket), False)

    def may_see_versions(self) -> bool:
        """Whether this key may list earlier versions, without which they cannot be removed."""
        ask = {"Bucket": self.bucket, "Prefix": self.prefix, "MaxKeys": 1}
        with _told(self.place):
            return _offered(lambda: bool(self._client.list_object_versions(**ask)), False)

    def _versions(self, under: str) -> list[dict[str, str]]:
        """What a bucket that keeps versions holds of names, removed ones too; nothing where a store knows none."""
        with _told(self.place):
            found = self._pages("list_object_versions", ("Versions", "DeleteMarkers"), under)
        return [
            {"Key": one["Key"], "VersionId": one["VersionId"]}
            for one in found
            if one.get("VersionId", "null") != "null"
        ]

    def _uploads(self, under: str) -> list[dict[str, Any]]:
        return self._pages("list_multipart_uploads", ("Uploads",), under)

    def _pages(self, question: str, parts: tuple[str, ...], under: str) -> list[dict[str, Any]]:
        """All that a store lists; nothing where it does not know the question."""
        pages = self._client.get_paginator(question).paginate(Bucket=self.bucket, Prefix=self.prefix + under)
        found: list[dict[str, Any]] = []
        return _offered(lambda: [one for page in pages for part in parts for one in page.get(part, ())], found)

    def _abort(self, upload: dict[str, Any]) -> None:
        self._client.abort_multipart_upload(Bucket=self.bucket, Key=upload["Key"], UploadId=upload["UploadId"])


def _client(place: str) -> Any:
    try:
        import boto3.session
        from botocore.config import Config
    except ImportError:
        raise UserError(Message("store.films_in_need_the_s3", place=place)) from None
    key, secret = os.environ.get(KEY), os.environ.get(SECRET)
    if not key or not secret:
        raise NotNowError(Message("store.there_is_no_key_for", place=place, key=KEY, secret=SECRET))
    own = os.environ.get("AWS_ENDPOINT_URL_S3") or os.environ.get("AWS_ENDPOINT_URL")
    if own and "@" in own:
        raise UserError(Message("store.aws_endpoint_url_holds_a", key=KEY, secret=SECRET))
    region = os.environ.get("AWS_REGION") or os.environ.get("AWS_DEFAULT_REGION") or "us-east-1"
    config = Config(
        connect_timeout=CONNECT_S,
        read_timeout=ANSWER_S,
        retries={"mode": "standard", "total_max_attempts": TRIES},
        signature_version="s3v4",
        request_checksum_calculation="when_required",
        response_checksum_validation="when_required",
        max_pool_connections=16,
        # the SHA-256 of each request's bytes is signed, which every such store checks; other sums not all of them know
        s3={"payload_signing_enabled": True, "addressing_style": "path" if own else "auto"},
    )
    try:
        return boto3.session.Session().client(
            "s3",
            endpoint_url=own,
            region_name=region,
            config=config,
            aws_access_key_id=key,
            aws_secret_access_key=secret,
            aws_session_token=os.environ.get(TOKEN),
        )
    except ValueError:  # it would repeat the address, and some write a password there
        raise UserError(Message("store.aws_endpoint_url_is_no")) from None


def _offered(ask: Callable[[], T], otherwise: T) -> T:
    """What a store answers, or something else where it does not know the question, or this key may not ask it."""
    from botocore.exceptions import ClientError

    try:
        return ask()
    except ClientError as error:
        if _code(error) in NOT_OFFERED:
            return otherwise
        raise


@contextmanager
def _told(place: str) -> Iterator[None]:
    """A failure of the store becomes one clear line."""
    from boto3.exceptions import Boto3Error
    from botocore.exceptions import BotoCoreError, ClientError

    try:
        yield
    except ClientError as error:
        raise _in_words(_code(error), place) from error
    except Boto3Error as error:
        cause = error.__context__ or error.__cause__
        raise _in_words(_code(cause) if isinstance(cause, ClientError) else "", place) from error
    except BotoCoreError as error:  # its text names the address that was asked; the log has it
        raise _away(place, type(error).__name__) from error


def _code(error: Any) -> str:
    return str(error.response.get("Error", {}).get("Code", ""))


def _in_words(code: str, place: str) -> UserError:
    if code in MISSING:
        return NotThereError(Message("store.it_is_not_in_the", place=place))
    if code == "NoSuchBucket":
        return NotNowError(Message("store.there_is_no_bucket_for", place=place))
    if code in REFUSED:
        return NotNowError(Message("store.the_store_of_films_refuses", place=place, code=code, key=KEY, secret=SECRET))
    return _away(place, code)


def _away(place: str, reason: str) -> NotNowError:
    return NotNowError(Message("store.the_store_of_films_cannot", place=place, reason=reason))
