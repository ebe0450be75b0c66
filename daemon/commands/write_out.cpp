#include "commands/write_out.hpp"

#include <fmt/format.h>

#include <cstdio>

#include "commands/commands.hpp"

namespace drumwatch {

namespace {

int fail(const std::string& sentence) {
    fmt::print(stderr, "{}\n", sentence);
    return kFailed;
}

}  // namespace

int write_out(const std::string& path, const std::string& text) {
    std::FILE* file = path.empty() ? stdout : std::fopen(path.c_str(), "wb");
    if (!file)
        return fail(fmt::format("{}: can't be written; name a file in a folder that you may write to", path));
    const bool written =
        std::fwrite(text.data(), 1, text.size(), file) == text.size() && std::fflush(file) == 0;
    const bool closed = path.empty() || std::fclose(file) == 0;
    return written && closed ? kDone
                             : fail(fmt::format("{}: could not be written whole; is the disk full?", path));
}

}  // namespace drumwatch
