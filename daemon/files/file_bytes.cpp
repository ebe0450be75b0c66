#include "files/file_bytes.hpp"

#include <fmt/format.h>
#include <zlib.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <limits>
#include <system_error>

namespace drumwatch {
namespace {

constexpr std::size_t kMebibyte = 1024 * 1024;

Error too_large(std::size_t limit_bytes) {
    return Error{fmt::format("larger than {} MiB{}", limit_bytes / kMebibyte,
                             limit_bytes < kMebibyte ? fmt::format(" ({} bytes)", limit_bytes) : "")};
}

/// The zlib stream, closed on every way out.
class Inflater {
  public:
    Inflater() : ready_(inflateInit2(&stream_, 16 + MAX_WBITS) == Z_OK) {}
    ~Inflater() {
        if (ready_) inflateEnd(&stream_);
    }
    Inflater(const Inflater&) = delete;
    Inflater& operator=(const Inflater&) = delete;
    bool ready() const { return ready_; }
    z_stream& stream() { return stream_; }

  private:
    z_stream stream_{};
    bool ready_;
};

/// Appends what one call gives; false at a damaged stream.
int inflate_some(z_stream& stream, std::string& out) {
    unsigned char buffer[64 * 1024];
    stream.next_out = buffer;
    stream.avail_out = sizeof buffer;
    const int code = inflate(&stream, Z_NO_FLUSH);
    out.append(reinterpret_cast<const char*>(buffer), sizeof buffer - stream.avail_out);
    return code;
}

}  // namespace

Result<std::string> read_file_bytes(const std::string& path, std::size_t limit_bytes) {
    std::error_code error;
    const auto status = std::filesystem::status(path, error);
    if (status.type() == std::filesystem::file_type::none)  // a folder on the way may not be entered
        return Error{fmt::format("can't be opened: {}", error.message())};
    if (!std::filesystem::exists(status)) return Error{"there is no such file"};
    if (std::filesystem::is_directory(status)) return Error{"this is a folder, not a file"};
    if (!std::filesystem::is_regular_file(status)) return Error{"this is not a regular file"};
    errno = 0;
    std::ifstream file(path, std::ios::binary);
    if (!file) return Error{fmt::format("can't be opened: {}", std::strerror(errno))};
    std::string bytes;
    char buffer[64 * 1024];
    while (file.read(buffer, sizeof buffer) || file.gcount() > 0) {
        bytes.append(buffer, static_cast<std::size_t>(file.gcount()));
        if (bytes.size() > limit_bytes) return too_large(limit_bytes);
    }
    if (file.bad()) return Error{"can't be read to its end"};
    return bytes;
}

bool looks_like_gzip(std::string_view bytes) {
    return bytes.size() >= 2 && static_cast<unsigned char>(bytes[0]) == 0x1f &&
           static_cast<unsigned char>(bytes[1]) == 0x8b;
}

Result<std::string> unpack_gzip(std::string_view bytes, std::size_t limit_bytes) {
    Inflater inflater;
    if (!inflater.ready()) return Error{"gzip: no memory to unpack it"};
    if (bytes.size() > std::numeric_limits<uInt>::max()) return too_large(limit_bytes);
    z_stream& stream = inflater.stream();
    stream.next_in =
        reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));  // zlib's C interface: never written
    stream.avail_in = static_cast<uInt>(bytes.size());
    std::string out;
    for (;;) {
        const int code = inflate_some(stream, out);
        if (out.size() > limit_bytes) {
            return Error{"gzip: unpacks to more than " + std::to_string(limit_bytes / kMebibyte) + " MiB"};
        }
        if (code == Z_STREAM_END) {
            if (stream.avail_in == 0) return out;
            inflateReset(&stream);
        } else if (code == Z_BUF_ERROR || (code == Z_OK && stream.avail_in == 0 && stream.avail_out != 0)) {
            return Error{"gzip: the file is cut short"};
        } else if (code != Z_OK) {
            return Error{"gzip: the file is damaged"};
        }
    }
}

std::optional<std::string> pack_gzip(std::string_view bytes) {
    constexpr int kGzip = 15 + 16;  // largest window, gzip's frame
    z_stream stream{};
    if (bytes.size() > std::numeric_limits<uInt>::max()) return std::nullopt;
    if (deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, kGzip, 9, Z_DEFAULT_STRATEGY) != Z_OK)
        return std::nullopt;
    std::string out(deflateBound(&stream, static_cast<uLong>(bytes.size())), '\0');
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));  // never written
    stream.avail_in = static_cast<uInt>(bytes.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    const bool done = deflate(&stream, Z_FINISH) == Z_STREAM_END;
    out.resize(out.size() - stream.avail_out);
    deflateEnd(&stream);
    return done ? std::optional(std::move(out)) : std::nullopt;
}

}  // namespace drumwatch
