#include "record/file_length.hpp"

#include <fmt/format.h>

#include <array>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <set>

namespace drumwatch {
namespace {

constexpr std::size_t kLogHead = 32;  // sqlite.org/fileformat2.html, 4.1
constexpr std::size_t kFrameHead = 24;
constexpr std::size_t kSalts = 8;

std::uint32_t big_endian(const char* at) {
    std::uint32_t value = 0;
    for (int i = 0; i < 4; ++i) value = value << 8U | static_cast<unsigned char>(at[i]);
    return value;
}

/// The pages that the log holds: of its frames with its own salts, up to the last commit.
std::set<std::uint64_t> pages_in_log(const std::string& path, std::int64_t page_size) {
    std::set<std::uint64_t> committed;
    std::set<std::uint64_t> pending;
    std::ifstream log(path, std::ios::binary);
    std::array<char, kLogHead> head{};
    if (!log.read(head.data(), head.size())) return committed;
    const std::string salts(head.data() + 16, kSalts);
    std::array<char, kFrameHead> frame{};
    while (log.read(frame.data(), frame.size()) && salts.compare(0, kSalts, frame.data() + 8, kSalts) == 0) {
        pending.insert(big_endian(frame.data()));
        if (big_endian(frame.data() + 4) != 0) committed.merge(pending);
        log.seekg(page_size, std::ios::cur);
    }
    return committed;
}

}  // namespace

std::string cut_short(Database& database, const std::string& path) {
    const auto pages = database.number("PRAGMA page_count");
    const auto page = database.number("PRAGMA page_size");
    std::error_code failed;
    const auto size = std::filesystem::file_size(path, failed);
    if (!pages || !page || failed || page.value() <= 0) return "the file's length can't be found out";
    const auto needed = static_cast<std::uintmax_t>(pages.value() * page.value());
    if (size >= needed) return {};
    // What was written last may be in the log only, and make the file longer than it is yet.
    const auto in_log = pages_in_log(path + "-wal", page.value());
    std::uint64_t missing = 0;
    const auto whole = static_cast<std::uint64_t>(size) / static_cast<std::uint64_t>(page.value());
    for (auto number = whole + 1; number <= static_cast<std::uint64_t>(pages.value()); ++number)
        missing += in_log.count(number) == 0 ? 1 : 0;
    if (missing == 0) return {};
    return fmt::format("the file is cut short: {} bytes of {}, {} pages of it are nowhere", size, needed,
                       missing);
}

}  // namespace drumwatch
