#include "commands/write_out.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kLooksAt = 200;

}  // namespace

int write_out(const std::string& path, const std::string& text) {
    std::FILE* file = path.empty() ? stdout : std::fopen(path.c_str(), "wb");
    if (!file)
        return complain(
            fmt::format("{}: can't be written; name a file in a folder that you may write to", path),
            kFailed);
    const bool written =
        std::fwrite(text.data(), 1, text.size(), file) == text.size() && std::fflush(file) == 0;
    const bool closed = path.empty() || std::fclose(file) == 0;
    return written && closed
               ? kDone
               : complain(fmt::format("{}: could not be written whole; is the disk full?", path), kFailed);
}

int write_new(const std::string& path, const std::string& text) {
    std::error_code error;
    if (path.empty() || !std::filesystem::is_regular_file(path, error)) return write_out(path, text);
    std::ifstream file(path, std::ios::binary);
    const std::string there(std::istreambuf_iterator<char>(file), {});
    if (there == text) return kDone;
    return complain(
        path + ": is there already with other contents, and is not written over; name another file", kFailed);
}

std::optional<std::string> not_to_be_replaced(const std::string& path, std::string_view mark) {
    std::error_code error;
    if (!std::filesystem::is_regular_file(path, error) || std::filesystem::file_size(path, error) == 0)
        return std::nullopt;
    std::string begins(kLooksAt, '\0');
    std::ifstream(path, std::ios::binary).read(begins.data(), static_cast<std::streamsize>(begins.size()));
    if (begins.find(mark) != std::string::npos) return std::nullopt;
    return path + ": another kind of file stands there, which is not written over; name another";
}

}  // namespace drumwatch
