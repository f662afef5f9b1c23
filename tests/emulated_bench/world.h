/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is around the board: bridge amplifier, stage with switches and emergency stop, strand. True time in nanoseconds.
 * Knows no board: an emulated chip and the core on its own are put into the same world.
 */
#ifndef WORLD_H
#define WORLD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { KNOTS = 8, HISTORY = 16, STEP_LOG = 1 << 16, READING_LOG = 1 << 16 };

/* A step as the driver saw it. */
struct step_record {
    int64_t ns;
    int32_t position; /* Of the motor, after it. */
};

/* A reading as the amplifier had it ready. */
struct reading_record {
    int64_t ns;
    int32_t counts;
    int32_t position;
};

struct world {
    /* Amplifier. */
    double rate_hz;      /* True rate, whatever the board thinks. */
    double settle;       /* The filter is the mean of the input over so many readings; 1 for none. */
    double noise_counts; /* Standard deviation. */
    double silent;       /* 1: no reading becomes ready. */
    double frozen;       /* 1: always the same reading. */
    double data_stuck;   /* 1: the board's data pin is always high, as with a cut wire; 2: always low. */
    double glitch;       /* 1: the next reading is full scale; clears itself. */
    double offset_counts;
    const int32_t *script; /* Readings to deliver one after the other, in place of the strand's; repeats the last. */
    size_t script_size;
    size_t conversions;
    double history[HISTORY];
    int64_t next_conversion_ns;
    int32_t latest;       /* Reading that waits to be read. */
    uint32_t shift;       /* Bits still to be read, the next one highest. */
    int bits_read;        /* 0: the reading waits; 25: read. */
    bool data_high;       /* The data pin. */
    bool clock_high;
    int64_t clock_rose_ns;
    int64_t longest_clock_ns;
    uint32_t switched_off; /* Times a long clock pulse has switched the amplifier off. */
    uint32_t read_wholly;  /* Readings read to the last bit. */
    uint32_t overrun;      /* Readings nobody read in time. */
    /* Stage. */
    int32_t position;     /* Of the motor, in steps from where it was at power-on. */
    double slip_every;    /* Every so manieth step is lost where the motor has to pull; 0 for none. */
    double near_at, far_at; /* Positions where the switches are pressed. */
    double near_held, far_held, emergency; /* 1: pressed by hand. */
    bool driver_off;
    int direction;
    uint64_t steps;
    uint64_t steps_while_off;
    int64_t direction_changed_ns, step_rose_ns;
    int64_t shortest_pulse_ns, shortest_gap_ns, shortest_setup_ns, last_step_ns;
    /* Strand: force in counts at positions, straight between, gone beyond the last knot or `break_at`. */
    double knot_steps[KNOTS], knot_counts[KNOTS];
    size_t knots;
    double break_at;
    bool broken;
    int64_t broke_ns;
    /* Random numbers. */
    uint64_t random;
    /* Logs. */
    struct step_record step_log[STEP_LOG];
    size_t step_count; /* In all; the log keeps the last STEP_LOG. */
    struct reading_record reading_log[READING_LOG];
    size_t reading_count;
};

void world_init(struct world *w);

/* Set or read a value by name; false where there is no such name. */
bool world_set(struct world *w, const char *name, double value);
bool world_get(const struct world *w, const char *name, double *value);
void world_strand(struct world *w, const double *steps, const double *counts, size_t knots, double break_at);

/* A reading is due: makes it ready. Returns the time of the next. */
int64_t world_convert(struct world *w, int64_t ns);
/* The board's clock pin for the amplifier has changed. The data pin is `data_high` afterwards. */
void world_clock(struct world *w, bool high, int64_t ns);
/* The driver's pins have changed. */
void world_step_pin(struct world *w, bool high, int64_t ns);
void world_direction_pin(struct world *w, bool high, int64_t ns);
/* One whole step, for a board without pins. */
void world_step(struct world *w, int direction, int64_t ns);

/* Copy the last records, oldest first; returns how many. */
size_t world_steps(const struct world *w, struct step_record *out, size_t room);
size_t world_readings(const struct world *w, struct reading_record *out, size_t room);

bool world_data(const struct world *w);
bool world_near(const struct world *w);
bool world_far(const struct world *w);
bool world_emergency(const struct world *w);

#endif
