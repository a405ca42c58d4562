"""Says which steps were passed, and takes answers for what the document says they are."""
import typing
import uuid
from http import HTTPStatus

import stridewright_client as generated
from stridewright_client.models import Problem
from stridewright_client.types import Response

PASSWORD = "five-strides-past-the-gate"
T = typing.TypeVar("T")


def passed(number: int) -> None:
    print(f"passed {number}", flush=True)


def key() -> str:
    """A fresh Idempotency-Key."""
    return str(uuid.uuid4())


def told(answer: Response[T] | Response[Problem | T], status: int, kind: type[T]) -> T:
    """The answer, where it has this status and is of this type."""
    assert answer.status_code == HTTPStatus(status), f"{answer.status_code} instead of {status}: {answer.content!r}"
    assert isinstance(answer.parsed, kind), f"{answer.parsed!r} is no {kind.__name__}"
    return answer.parsed


def refused(answer: Response[Problem | T] | Response[typing.Any | Problem], status: int, code: str) -> Problem:
    """The problem, where it is this one."""
    problem = answer.parsed
    assert isinstance(problem, Problem), f"no problem, but {answer.status_code}: {answer.content!r}"
    assert answer.status_code == HTTPStatus(status)
    assert (problem.status, problem.code) == (status, code)
    return problem


def etag(answer: Response[T]) -> str:
    return str(answer.headers["etag"])


def there(value: T | generated.types.Unset | None) -> T:
    """A value that may be absent, and is not."""
    assert value is not None and not isinstance(value, generated.types.Unset)
    return value


def anonymous(base: str) -> generated.AuthenticatedClient:
    """Nobody: the generator takes `security: [{}]`, which asks for nothing, for a need of credentials."""
    return typing.cast(generated.AuthenticatedClient, generated.Client(base_url=base))


def signed_in(base: str, token: str) -> generated.AuthenticatedClient:
    return generated.AuthenticatedClient(base_url=base, token=token)
