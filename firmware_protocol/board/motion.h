/* The trapezoid: which steps fall into the next millisecond, and when in it. Knows no pins, no timers, no reason to move.
 *
 * Speeds are in thousandths of a step per second, so that a quantum of 1 ms at speed v is v millionths of a step.
 */
#ifndef MOTION_H
#define MOTION_H

#include <stdbool.h>
#include <stdint.h>

enum { QUANTUM_TICKS = 2000 }; /* Ticks of 0.5 us in a quantum of 1 ms. */

struct motion {
    int32_t position;   /* Steps, once all the steps planned so far are made. */
    int32_t target;     /* Steps. */
    int8_t direction;   /* +1 or -1. */
    bool stopping;
    uint32_t top_speed; /* Thousandths of a step per second, as `speed`. */
    uint32_t speed;
    uint32_t phase;     /* Millionths of the next step already run. */
    uint32_t braking;   /* Thousandths of a step needed to stand, from `speed`. */
    uint16_t interval;  /* Ticks between two steps of a quantum, at `speed`. */
};

/* The steps of one quantum: `count` steps, the first `first` ticks after its start, then every `interval` ticks. */
struct quantum {
    uint8_t count;
    uint16_t first;
    uint16_t interval;
};

void motion_start(struct motion *m, int32_t position, int32_t target, uint32_t top_speed);

/* Plan the next quantum. False when there is nothing more to plan: the target is reached, or the stop has ended. */
bool motion_next(struct motion *m, struct quantum *q);

#endif
