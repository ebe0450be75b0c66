// Line and column of every value of a JSON text that has been parsed already: a second, small scan, because
// the JSON library keeps no positions.
#pragma once

#include <string>
#include <vector>

#include "files/json_node.hpp"

namespace drumwatch {

/// Fills `place` and `key_place` of the whole tree. `text` must be what the tree was parsed from; where it is
/// not what a person wrote, `places` says where each of its bytes stands there.
void set_places(const std::string& text, JsonNode& root, const std::vector<TextPlace>* places = nullptr);

/// Of every byte, and of the end.
std::vector<TextPlace> places_of(const std::string& text);

/// Line and column of a byte; past the end: of the end.
TextPlace place_of_byte(const std::string& text, std::size_t byte);

}  // namespace drumwatch
