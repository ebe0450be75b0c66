// A whole file as bytes, plain or gzip (RFC 1952). Thread: any; blocks on the disk. Fails with a sentence
// that names the file: missing, a folder, not allowed, too large, cut short, not gzip.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "core/result.hpp"

namespace drumwatch {

/// Regular files only (a pipe or a device could block for ever), at most `limit_bytes`.
Result<std::string> read_file_bytes(const std::string& path, std::size_t limit_bytes);

bool looks_like_gzip(std::string_view bytes);
/// One member without a name or time, so that the same bytes give the same file. Nothing where memory is
/// short.
std::optional<std::string> pack_gzip(std::string_view bytes);
/// All members one after the other; refuses to unpack more than `limit_bytes`.
Result<std::string> unpack_gzip(std::string_view bytes, std::size_t limit_bytes);

}  // namespace drumwatch
