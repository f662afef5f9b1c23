/* What the host wants: which commands are refused, and what an accepted one begins. Knows not how a motion ends. */
#ifndef COMMANDS_H
#define COMMANDS_H

#include "core.h"

/* Carry out and answer an undamaged message of `length` bytes, its id first. */
void take_message(struct core *c, const uint8_t *message, uint8_t length);

#endif
