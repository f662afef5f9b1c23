/* The board's state, and what its main loop does. Knows no registers and no interrupts, only thin.h. */
#ifndef CORE_H
#define CORE_H

#include <stdbool.h>
#include <stdint.h>

#include "force.h"
#include "frames.h"
#include "motion.h"
#include "strand_protocol.h"
#include "thin.h"

/* The command answered last, so that it can be answered again and not carried out again. */
struct answered {
    uint8_t id;
    uint8_t request;
    uint8_t result;
};

struct core {
    struct frame_in in;
    struct frame_out out;
    struct motion motion;
    struct force force;
    struct reading last;
    struct answered answered;
    uint32_t alive_us;   /* When the last undamaged frame came. */
    uint32_t reading_us; /* When the last reading came. */
    uint16_t seq;
    uint16_t dropped;
    uint16_t bad_frames;
    uint8_t state;  /* enum sp_board_state; IDLE stands for LATCHED too. */
    uint8_t reason; /* enum sp_stop_reason */
    bool identified;
    bool streaming;
    bool homed;
    bool sensor_fault;
    bool tell_dropped; /* The next sample says that readings before it were dropped. */
};

/* Whether a stop reason refuses motion until it is cleared. */
static inline bool latching(uint8_t reason)
{
    return SP_LATCHING_MASK >> reason & 1;
}

static inline bool running(const struct core *c)
{
    return c->state != SP_BOARD_STATE_IDLE;
}

void core_start(struct core *c);

/* Do what there is to do, and come back soon. */
void core_poll(struct core *c);

#endif
