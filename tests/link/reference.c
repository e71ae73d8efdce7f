/* Encoding symbols of an object by another implementation of RFC 6330, the
 * library lcrq (Debian: liblcrq-dev).  Arguments: object file, symbol size,
 * number of symbols.  Prints "id hex" per line. */
#include <lcrq.h>
#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv)
{
	if (argc != 4) return 2;
	FILE *file = fopen(argv[1], "rb");
	if (!file) return 2;
	fseek(file, 0, SEEK_END);
	size_t length = (size_t)ftell(file);
	rewind(file);
	uint8_t *object = malloc(length);
	if (!object || fread(object, 1, length, file) != length) return 2;
	fclose(file);
	uint16_t size = (uint16_t)atoi(argv[2]);
	rq_t *rq = rq_init(length, size);
	if (!rq || rq_Z(rq) != 1 || rq_N(rq) != 1) {
		fprintf(stderr, "not one block\n");
		return 3;
	}
	if (rq_encode(rq, object, length)) return 4;
	uint8_t *symbol = malloc(size);
	uint32_t count = (uint32_t)atoi(argv[3]);
	for (uint32_t id = 0; id < count; id++) {
		/* The symbol wanted goes in through the payload id. */
		rq_pid_t pid = htonl(id) >> 8;
		if (!rq_symbol(rq, &pid, symbol, 0)) return 5;
		printf("%u ", (unsigned)id);
		for (int i = 0; i < size; i++) printf("%02x", symbol[i]);
		printf("\n");
	}
	rq_free(rq);
	return 0;
}
