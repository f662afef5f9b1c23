/* The serial line: two rings between the main loop and the interrupts. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../thin.h"
#include "parts.h"

#include <util/setbaud.h> /* Of F_CPU and BAUD, which the build gives. */

enum {
    IN_RING = 128,     /* Bytes: 5 ms of a full line. */
    OUT_CAPACITY = 255 /* Bytes; the places of this ring are numbered by a byte that wraps. */
};

static volatile uint8_t in_bytes[IN_RING];
static volatile uint8_t in_newest, in_oldest;
static volatile uint8_t out_bytes[OUT_CAPACITY + 1];
static volatile uint8_t out_newest, out_oldest;

void line_init(void)
{
    UCSR0A = USE_2X ? _BV(U2X0) : 0;
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00); /* 8 data bits, no parity, 1 stop bit. */
    UBRR0 = UBRR_VALUE;
    UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
}

ISR(USART_RX_vect)
{
    uint8_t byte = UDR0;
    uint8_t next = (in_newest + 1) & (IN_RING - 1);
    if (next == in_oldest)
        return; /* The checksum will tell. */
    in_bytes[in_newest] = byte;
    in_newest = next;
}

ISR(USART_UDRE_vect)
{
    UDR0 = out_bytes[out_oldest++];
    if (out_oldest == out_newest)
        UCSR0B &= (uint8_t)~_BV(UDRIE0);
}

bool line_waiting(void)
{
    return in_oldest != in_newest;
}

bool thin_receive(uint8_t *byte)
{
    if (!line_waiting())
        return false;
    *byte = in_bytes[in_oldest];
    in_oldest = (in_oldest + 1) & (IN_RING - 1);
    return true;
}

uint8_t thin_room(void)
{
    return OUT_CAPACITY - (uint8_t)(out_newest - out_oldest);
}

void thin_send(const uint8_t *bytes, uint8_t size)
{
    while (size--) {
        out_bytes[out_newest] = *bytes++;
        out_newest++;
    }
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { UCSR0B |= _BV(UDRIE0); }
}
