/* Frames: checksum, byte stuffing, one frame in and out. Knows nothing of what a frame means.
 *
 * A frame is COBS(message id, payload, CRC-16/IBM-3740 of both, high byte first) and a zero byte.
 */
#ifndef FRAMES_H
#define FRAMES_H

#include <stdbool.h>
#include <stdint.h>

#include "strand_protocol.h"

enum {
    FRAME_IN_MAX = SP_MAX_BODY_TO_BOARD + SP_CRC_SIZE,
    FRAME_OUT_MAX = SP_MAX_BODY_TO_HOST + SP_CRC_SIZE + 2, /* With a byte of stuffing and the delimiter. */
};

enum frame_result { FRAME_MORE, FRAME_GOOD, FRAME_DAMAGED };

/* A frame coming in, unstuffed byte by byte. */
struct frame_in {
    uint8_t bytes[FRAME_IN_MAX]; /* Message id, payload, checksum. */
    uint8_t length;
    uint8_t block; /* Code byte that opened the present block; 0 before the first. */
    uint8_t left;  /* Bytes of the present block still to come. */
    bool damaged;
};

/* A frame going out: `bytes[0]` is kept for the stuffing, the message starts at `bytes[1]`. */
struct frame_out {
    uint8_t bytes[FRAME_OUT_MAX];
    uint8_t length;
};

uint16_t crc16(uint16_t crc, uint8_t byte);

/* Take one byte of the line. After FRAME_GOOD, `bytes` and `length` hold the message without its checksum until the next call. */
enum frame_result frame_take(struct frame_in *in, uint8_t byte);

/* Put checksum, stuffing and delimiter to a message of `size` bytes at `bytes[1]`. */
void frame_close(struct frame_out *out, uint8_t size);

#endif
