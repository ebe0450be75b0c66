// A text that is not JSON, read on past every slip that has one obvious repair: each is noted, and the text
// is mended, so that what comes after is looked at too. Where no repair is obvious it stops, and says so.
// Pure.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "files/json_node.hpp"

namespace drumwatch {

struct MendedJson {
    std::vector<JsonMistake> mistakes;   ///< in the order of the text
    bool whole = false;                  ///< false: the last mistake has no obvious repair
    std::string text;                    ///< where whole
    std::vector<TextPlace> places;       ///< of every byte of `text` and of its end, in what the person wrote
    std::vector<std::string> stand_ins;  ///< pointers of values that were missing: null in `text`
};

/// Never throws but for want of memory. At most 50 mistakes: more is another kind of file.
MendedJson mend_json(const std::string& text);

}  // namespace drumwatch
