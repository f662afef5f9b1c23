/* What the board says: every message to the host is put together here. Knows not why it is sent. */
#ifndef SAY_H
#define SAY_H

#include "core.h"

void say_event(struct core *c, uint8_t code); /* enum sp_event_code */

/* Answer a command, and remember the answer for a repeated one. */
void say_answer(struct core *c, uint8_t id, uint8_t request, uint8_t result);
void say_identity(struct core *c, uint8_t request);
void say_status(struct core *c, uint8_t request);

/* The last reading; where the line is too full, it is dropped and counted. */
void say_sample(struct core *c, uint16_t seq);

#endif
