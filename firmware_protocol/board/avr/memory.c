/* What outlives a reset: whether the motor ran (in RAM that the start leaves alone) and the count of starts (EEPROM). */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>

#include "../thin.h"
#include "parts.h"

#define KEPT_MARK UINT32_C(0x5EA7BEAD) /* RAM after power-on is random: without this mark it says nothing. */

static struct {
    uint32_t mark;
    uint16_t boot_count;
    uint8_t memory;
} kept __attribute__((section(".noinit")));

static uint8_t at_start;

static uint8_t eeprom_read(uint8_t address)
{
    EEAR = address;
    EECR |= _BV(EERE);
    return EEDR;
}

/* Starts the write, and does not wait for its 3.4 ms. Only with interrupts off. */
static void eeprom_write(uint8_t address, uint8_t byte)
{
    EEAR = address;
    EEDR = byte;
    EECR |= _BV(EEMPE);
    EECR |= _BV(EEPE);
}

/* The low byte is written: the high byte follows where it changed. */
ISR(EE_READY_vect)
{
    EECR &= (uint8_t)~_BV(EERIE);
    uint8_t high = kept.boot_count >> 8;
    if (eeprom_read(1) != high)
        eeprom_write(1, high);
}

static void count_start(bool marked)
{
    bool still_writing = EECR & _BV(EEPE); /* A reset has cut in: then RAM has the count. */
    if (still_writing && marked) {
        kept.boot_count++;
        return;
    }
    kept.boot_count = (uint16_t)(eeprom_read(0) | eeprom_read(1) << 8) + 1;
    eeprom_write(0, (uint8_t)kept.boot_count);
    EECR |= _BV(EERIE);
}

void memory_init(void)
{
    bool marked = kept.mark == KEPT_MARK;
    at_start = marked && kept.memory <= MEMORY_HUNG ? kept.memory : MEMORY_STOOD;
    count_start(marked);
    kept.mark = KEPT_MARK;
    kept.memory = at_start; /* Until the host has cleared it, however many starts later. */
}

void memory_set(uint8_t memory)
{
    kept.memory = memory;
}

enum memory thin_memory(void)
{
    return (enum memory)at_start;
}

uint16_t thin_boot_count(void)
{
    return kept.boot_count;
}
