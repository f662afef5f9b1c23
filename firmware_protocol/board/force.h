/* The force as the board's own stops judge it: zero, median, limit, break. Knows no pins, and not what is done about a stop.
 *
 * All in raw counts. The force is the distance from the zero, whichever way the cell is wired.
 */
#ifndef FORCE_H
#define FORCE_H

#include <stdbool.h>
#include <stdint.h>

enum {
    ZERO_READINGS = 8,   /* The zero is the mean of this many. */
    MEDIAN_READINGS = 3, /* A median of three never shows a single wild reading. */
    LOW_MEDIANS = 3,     /* So many medians on end below half of the peak are a break. */
};

enum force_verdict { FORCE_FINE, FORCE_OVER_LIMIT, FORCE_FELL };

struct force {
    int32_t zero;
    int32_t recent[ZERO_READINGS]; /* The last readings, in a ring. */
    uint8_t next;                  /* Place of the next reading in the ring. */
    uint8_t known;                 /* Readings in the ring. */
    uint8_t in_motion;             /* Readings since the motion started, up to MEDIAN_READINGS. */
    uint8_t low;                   /* Low medians on end. */
    uint32_t limit;
    uint32_t floor; /* A break is looked for once the peak is above this; 0 for never. */
    uint32_t peak;
};

void force_start(struct force *f, uint32_t limit, uint32_t floor);

/* Take one reading. The verdict counts only while a motion runs. */
enum force_verdict force_take(struct force *f, int32_t counts);

/* Take the mean of the last readings as zero; false when there are not enough. */
bool force_zero(struct force *f);

#endif
