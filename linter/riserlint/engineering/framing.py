"""What a stream takes on a link beside its payload."""

from riserlint.standards.traffic import FRAME_AROUND, FRAME_PAYLOAD, PACKET_HEADS


def wire_factor() -> float:
    """Return by what a stream's own rate grows on the wire, at the least: full frames, no tag.

    (1500 + 38) / (1500 − 40) = 1.053; smaller frames and tags take more. Sources: IEEE Std 802.3, RFC 791, RFC 9293.
    """
    whole = FRAME_PAYLOAD.value + FRAME_AROUND.value
    return whole / (FRAME_PAYLOAD.value - PACKET_HEADS.value)
