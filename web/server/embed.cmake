# cmake -DIN=file -DOUT=file.cpp -P embed.cmake: the file's bytes as drumwatch::openapi_text().
file(READ ${IN} hex HEX)
string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${hex}")
file(WRITE ${OUT} "#include \"web/openapi.hpp\"

namespace drumwatch {
namespace {
constexpr unsigned char kBytes[] = {${bytes}};
}  // namespace
std::span<const unsigned char> openapi_text() { return kBytes; }
}  // namespace drumwatch
")
