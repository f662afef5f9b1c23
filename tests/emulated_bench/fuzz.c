/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Throws frames at the core, sound ones with random contents, damaged ones and rubbish, while the world does what it
 * likes. The sanitizers watch the memory; what is checked here is that the motor never runs where it must not.
 *
 * fuzz FRAMES SEED
 */
#include "rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "frames.h"

static uint64_t state;

static uint32_t draw(void)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (uint32_t)(state >> 16);
}

static uint32_t below(uint32_t end)
{
    return draw() % end;
}

/* Numbers that are on the edge of something, and others. */
static uint32_t number(void)
{
    static const uint32_t edges[] = {0,       1,       2,          100,        48000,      48001,     8000000,
                                     8000001, 4000000, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 1u << 24, 1000};
    return below(3) ? edges[below(sizeof edges / sizeof *edges)] : draw();
}

static uint8_t body(uint8_t *out)
{
    static const uint8_t sizes[] = {0, 2, 0, 1, 2, 1, 13, 17, 5, 2, 1};
    uint8_t id = below(20) ? (uint8_t)(1 + below(10)) : (uint8_t)draw();
    uint8_t size = id < sizeof sizes && below(20) ? sizes[id] : (uint8_t)below(50);
    out[0] = id;
    for (uint8_t at = 1; at <= size; at += 4) {
        uint32_t value = number();
        memcpy(out + at, &value, 4);
    }
    for (uint8_t at = 2; at + 3 <= size; at += 4) { /* The fields behind the request id begin here. */
        uint32_t value = number();
        memcpy(out + at, &value, 4);
    }
    if (size > 0)
        out[1] = (uint8_t)below(6);
    if (id == SP_ID_IDENTIFY && below(4))
        out[2] = SP_PROTOCOL_VERSION;
    if (id == SP_ID_CLEAR_STOP && below(4))
        out[2] = (uint8_t)below(13);
    return size + 1;
}

static void send_frame(struct rig *rig)
{
    struct frame_out frame;
    memset(&frame, 0, sizeof frame);
    uint8_t message[64];
    uint8_t size = body(message);
    memcpy(frame.bytes + 1, message, size);
    frame_close(&frame, size);
    if (below(10) == 0)
        frame.bytes[below(frame.length)] ^= (uint8_t)(1 << below(8));
    if (below(30) == 0)
        frame.length = (uint8_t)below(frame.length);
    rig_send(rig, frame.bytes, frame.length);
    if (below(100) == 0) {
        uint8_t rubbish[300];
        for (size_t i = 0; i < sizeof rubbish; i++)
            rubbish[i] = (uint8_t)draw();
        rig_send(rig, rubbish, below(sizeof rubbish));
    }
}

static void befall(struct rig *rig)
{
    static const char *const switches[] = {"silent", "frozen", "glitch", "near_held", "far_held", "emergency"};
    switch (below(30)) {
    case 0:
        rig_set(rig, switches[below(6)], below(2));
        break;
    case 1:
        rig_set(rig, "offset_counts", (double)(int32_t)number());
        break;
    case 2:
        for (size_t i = 0; i < 6; i++)
            rig_set(rig, switches[i], 0);
        break;
    case 3:
        rig_set(rig, "rate_hz", 10 + below(1500));
        break;
    default:
        break;
    }
    if (below(3000) == 0)
        rig_reset(rig, below(2));
}

static double value(const struct rig *rig, const char *name)
{
    double found = 0;
    rig_get(rig, name, &found);
    return found;
}

/* Let time pass; false where the motor went where a switch forbids it. */
static bool run(struct rig *rig, int64_t ns)
{
    double before = value(rig, "position");
    rig_run(rig, rig_now(rig) + ns);
    double way = value(rig, "position") - before;
    if (way != 0 && value(rig, "emergency") != 0)
        return false;
    if (way > 0 && value(rig, "far_held") != 0)
        return false;
    return way >= 0 || value(rig, "near_held") == 0;
}

int main(int count, char **arguments)
{
    if (count != 3)
        return 2;
    long frames = atol(arguments[1]);
    state = (uint64_t)atol(arguments[2]) * 2654435761u + 88172645463325252u;
    struct rig *rig = rig_new(NULL);
    uint8_t said[4096];
    size_t heard = 0;
    rig_set(rig, "noise_counts", 2000);
    for (long frame = 0; frame < frames; frame++) {
        send_frame(rig);
        befall(rig);
        if (!run(rig, below(50) ? 100000 + below(2000000) : below(900) * 1000000LL)) {
            printf("frame %ld: the motor ran against a switch\n", frame);
            return 1;
        }
        for (size_t size; (size = rig_receive(rig, said, sizeof said)) > 0;)
            heard += size;
    }
    printf("%ld frames, %.0f steps, %zu bytes heard\n", frames, value(rig, "steps"), heard);
    rig_free(rig);
    return 0;
}
