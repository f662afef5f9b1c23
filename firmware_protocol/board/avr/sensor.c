/* The bridge amplifier: its data pin falls when a reading is ready; 24 clock pulses read it, one more sets the gain. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../thin.h"
#include "parts.h"
#include "pins.h"

enum { READING_BITS = 24 };

static struct moment ready_at;
static int32_t ready_position;
static volatile bool ready;

void sensor_init(void)
{
    PORTD |= _BV(SENSOR_DATA); /* Pull-up: with a cut wire there is never a reading. */
    DDRD |= _BV(SENSOR_CLOCK);
    EIFR = _BV(INTF0);
    EIMSK |= _BV(INT0);
}

/* With interrupts off: keep time and step counter of this moment for the reading. */
static void latch(void)
{
    EIMSK &= (uint8_t)~_BV(INT0);
    ready_at = clock_moment();
    ready_position = motor_position();
    ready = true;
}

ISR(INT0_vect)
{
    if (!(PIND & _BV(SENSOR_DATA))) /* Otherwise it was a disturbance. */
        latch();
}

/* A reading that became ready while the last one was read, or before the start, has made no edge that is seen. */
void sensor_watch(void)
{
    if ((EIMSK & _BV(INT0)) && !(PIND & _BV(SENSOR_DATA)))
        latch();
}

bool sensor_ready(void)
{
    return ready;
}

/* A clock pulse that an interrupt stretches to 60 us would switch the amplifier off. */
static bool pulse(void)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        PORTD |= _BV(SENSOR_CLOCK);
        __builtin_avr_delay_cycles(4);
        PORTD &= (uint8_t)~_BV(SENSOR_CLOCK);
    }
    return PIND & _BV(SENSOR_DATA);
}

static int32_t read_bits(void)
{
    uint32_t bits = 0;
    for (uint8_t i = 0; i < READING_BITS; i++)
        bits = bits << 1 | pulse();
    return (int32_t)(bits << 8) >> 8;
}

bool thin_reading(struct reading *r)
{
    if (!ready)
        return false;
    int32_t counts = read_bits();
    bool released = pulse(); /* A sound amplifier lets its data pin rise now. */
    if (released)
        *r = (struct reading){clock_us(ready_at), counts, ready_position};
    ready = false;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        EIFR = _BV(INTF0); /* The bits just read have made edges. */
        EIMSK |= _BV(INT0);
    }
    return released;
}
