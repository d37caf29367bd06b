/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/rivals.h"

#include <fast_float/fast_float.h>

#include <cstdio>
#include <cstring>
#include <vector>

size_t rival_fast_float(const char *path, struct rival_columns *columns)
{
    std::FILE *file = std::fopen(path, "rb");
    std::vector<char> block(1 << 18);
    size_t held = 0, rows = 0;
    bool header = true;
    if (file == nullptr) {
        return 0;
    }
    std::setvbuf(file, nullptr, _IONBF, 0);
    for (size_t got; (got = std::fread(block.data() + held, 1, block.size() - held, file)) > 0;) {
        held += got;
        const char *at = block.data(), *end = at + held;
        for (const char *stop; (stop = static_cast<const char *>(std::memchr(at, '\n', size_t(end - at)))) != nullptr;
             at = stop + 1) {
            if (header) {
                header = false;
                continue;
            }
            if (rows == columns->capacity) {
                break;
            }
            const char *cell = at;
            for (int c = 0; c < 7; c++) {
                auto result = fast_float::from_chars(cell, stop, columns->value[c][rows]);
                cell = result.ptr < stop ? result.ptr + 1 : stop;
            }
            rows++;
        }
        held = size_t(end - at);
        std::memmove(block.data(), at, held);
    }
    std::fclose(file);
    return rows;
}
