#include "frames.h"

#include <string.h>

/* CRC-16/IBM-3740 (polynomial 0x1021, start 0xFFFF, not reflected), by bytes without a table. */
uint16_t crc16(uint16_t crc, uint8_t byte)
{
    crc = (uint16_t)((crc >> 8) | (crc << 8));
    crc ^= byte;
    crc ^= (uint8_t)(crc & 0xFF) >> 4;
    crc ^= (uint16_t)(crc << 12);
    crc ^= (uint16_t)((crc & 0xFF) << 5);
    return crc;
}

static uint16_t crc_of(const uint8_t *bytes, uint8_t size)
{
    uint16_t crc = SP_CRC_START;
    while (size--)
        crc = crc16(crc, *bytes++);
    return crc;
}

static void append(struct frame_in *in, uint8_t byte)
{
    if (in->length < FRAME_IN_MAX)
        in->bytes[in->length++] = byte;
    else
        in->damaged = true;
}

static void start_over(struct frame_in *in)
{
    in->length = in->block = in->left = 0;
    in->damaged = false;
}

/* The delimiter has come: over message and checksum together the checksum is zero. */
static enum frame_result finish(struct frame_in *in)
{
    if (in->block == 0)
        return FRAME_MORE; /* Nothing between two delimiters. */
    bool good = !in->damaged && in->left == 0 && in->length > SP_CRC_SIZE && crc_of(in->bytes, in->length) == 0;
    in->length = good ? in->length - SP_CRC_SIZE : 0;
    return good ? FRAME_GOOD : FRAME_DAMAGED;
}

enum frame_result frame_take(struct frame_in *in, uint8_t byte)
{
    if (byte == 0) {
        enum frame_result result = finish(in);
        uint8_t length = in->length;
        start_over(in);
        in->length = result == FRAME_GOOD ? length : 0;
        return result;
    }
    if (in->block == 0)
        in->length = 0; /* The first byte of a new frame lets go of the message before. */
    if (in->left > 0) {
        append(in, byte);
        in->left--;
        return FRAME_MORE;
    }
    if (in->block != 0 && in->block != 0xFF)
        append(in, 0);
    in->block = byte;
    in->left = byte - 1;
    return FRAME_MORE;
}

void frame_close(struct frame_out *out, uint8_t size)
{
    uint16_t crc = crc_of(out->bytes + 1, size);
    uint8_t end = size + 1;
    out->bytes[end++] = (uint8_t)(crc >> 8);
    out->bytes[end++] = (uint8_t)crc;
    uint8_t code_at = 0;
    for (uint8_t i = 1; i < end; i++) {
        if (out->bytes[i] == 0) {
            out->bytes[code_at] = i - code_at;
            code_at = i;
        }
    }
    out->bytes[code_at] = end - code_at;
    out->bytes[end++] = 0;
    out->length = end;
}
