/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A board in its world, driven in lockstep: the same functions for the emulated chip and for the core on its own.
 */
#ifndef RIG_H
#define RIG_H

#include "world.h"

struct rig;

/* `image` is the ELF file of the firmware; the core on its own takes none. NULL where it can't be loaded. */
struct rig *rig_new(const char *image);
void rig_free(struct rig *rig);

/* Run to this true time since power-on. */
void rig_run(struct rig *rig, int64_t until_ns);
int64_t rig_now(const struct rig *rig);

/* Bytes for the board, which go over the line one after the other from now on. */
void rig_send(struct rig *rig, const uint8_t *bytes, size_t size);
size_t rig_unsent(const struct rig *rig);
/* Bytes the board has sent; taken out, at most `room`. */
size_t rig_receive(struct rig *rig, uint8_t *bytes, size_t room);

/* Values of the world, and of the rig itself: "clock_ppm". Pins follow at once. */
bool rig_set(struct rig *rig, const char *name, double value);
bool rig_get(const struct rig *rig, const char *name, double *value);
void rig_strand(struct rig *rig, const double *steps, const double *counts, size_t knots, double break_at);
/* The readings to come, in order. The caller keeps them alive. */
void rig_script(struct rig *rig, const int32_t *readings, size_t size);

/* Copy the last steps or readings, oldest first; returns how many. */
size_t rig_steps(const struct rig *rig, struct step_record *out, size_t room);
size_t rig_readings(const struct rig *rig, struct reading_record *out, size_t room);

/* Start the board again: RAM kept (reset pin, brown-out) or overwritten (power lost). */
void rig_reset(struct rig *rig, bool power_lost);

/* Only the emulated chip: make the program hang at a place of its flash (byte address), and let it go on. */
void rig_hang(struct rig *rig, uint32_t address, bool hang);
/* Only the emulated chip: write to its RAM. */
void rig_poke(struct rig *rig, uint16_t address, const uint8_t *bytes, size_t size);
/* Only the emulated chip: bytes of RAM above `from` that were never written since power-on. */
size_t rig_untouched(const struct rig *rig, uint16_t from);

#endif
