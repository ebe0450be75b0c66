#include "record/sha256.hpp"

#include <openssl/evp.h>

#include <new>

namespace drumwatch {

Digest sha256(std::string_view bytes) {
    Digest digest{};
    unsigned length = 0;
    // It can fail for want of memory only.
    if (EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr) != 1) {
        throw std::bad_alloc();
    }
    return digest;
}

std::string hex(std::string_view bytes) {
    constexpr char kDigits[] = "0123456789abcdef";
    std::string text;
    for (const char byte : bytes) {
        const auto value = static_cast<unsigned char>(byte);
        text += kDigits[value >> 4];
        text += kDigits[value & 15];
    }
    return text;
}

std::string hex(const Digest& digest) {
    return hex(std::string_view(reinterpret_cast<const char*>(digest.data()), digest.size()));
}

}  // namespace drumwatch
