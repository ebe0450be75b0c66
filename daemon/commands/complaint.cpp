#include "commands/complaint.hpp"

#include <fmt/format.h>

#include <cstdio>

namespace drumwatch {

int complain(const std::string& sentence, int exit_code) {
    fmt::print(stderr, "{}\n", sentence);
    return exit_code;
}

}  // namespace drumwatch
