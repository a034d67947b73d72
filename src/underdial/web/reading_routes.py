"""What is done to a reading that stands on the page Measurements: it is rejected, and used after all."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from underdial.bench.as_found import looking
from underdial.errors import NotFound
from underdial.web.sheet import back_to, shop_of, writer_of

router = APIRouter(
    prefix="/clock", responses={status: {"description": "said in one sentence"} for status in (403, 404, 409, 422, 507)}
)


@router.post("/{tag}/measurements/{measurement_id}/{deed}")
def judge_measurement(request: Request, tag: str, measurement_id: str, deed: str) -> Response:
    """Reject a reading, or use a rejected one after all."""
    if deed == "reject":
        looking.reject_measurement(shop_of(request), tag, measurement_id, by=writer_of(request))
    elif deed == "use":
        looking.take_up_measurement(shop_of(request), tag, measurement_id, by=writer_of(request))
    else:
        raise NotFound("deed", deed, "reject, use", "deed: a reading is rejected or used.")
    return back_to(tag, "measurements")
