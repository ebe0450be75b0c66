#include "files/json_places.hpp"

#include <string_view>

namespace drumwatch {
namespace {

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; }

/// Walks the text once. The text is known to be valid, so tokens need no checking; at its end every step
/// stands still, so that even a text that does not fit the tree ends.
class Scanner {
  public:
    explicit Scanner(std::string_view text, const std::vector<TextPlace>* places = nullptr)
        : text_(text), places_(places) {
        if (text_.substr(0, 3) == "\xEF\xBB\xBF") at_ = 3;
    }
    bool at_end() const { return at_ >= text_.size(); }
    std::size_t byte() const { return at_; }
    TextPlace place() const { return places_ != nullptr ? (*places_)[at_] : place_; }
    void step() {
        if (at_end()) return;
        const char c = text_[at_++];
        if (c == '\n') {
            ++place_.line;
            place_.column = 1;
        } else if (at_end() || !continues_character(text_[at_])) {
            ++place_.column;
        }
    }
    void visit(JsonNode& node) {
        skip_blank();
        node.place = place();
        switch (node.kind) {
            case JsonKind::object:
            case JsonKind::list:
                visit_items(node);
                break;
            case JsonKind::text:
                skip_string();
                break;
            default:
                skip_word();
        }
    }

  private:
    char peek(std::size_t ahead = 0) const { return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0'; }
    void visit_items(JsonNode& node) {
        step();  // the bracket
        for (JsonNode& item : node.items) {
            skip_blank();
            if (node.kind == JsonKind::object) visit_key(item);
            visit(item);
            skip_blank();
            if (peek() == ',') step();
        }
        skip_blank();
        step();
    }
    void visit_key(JsonNode& item) {
        item.key_place = place();
        skip_string();
        skip_blank();
        step();  // the colon
    }
    void skip_string() {
        step();
        while (!at_end() && peek() != '"') {
            if (peek() == '\\') step();
            step();
        }
        step();
    }
    void skip_word() {
        const std::string_view ends = ",]}/ \t\r\n";
        while (!at_end() && ends.find(peek()) == std::string_view::npos) step();
    }
    void skip_blank() {
        while (!at_end()) {
            const char c = peek();
            if (c == '/') {
                skip_comment();
            } else if (c == ' ' || c == '\t' || c == '\r' || c == '\n') {
                step();
            } else {
                return;
            }
        }
    }
    void skip_comment() {
        const bool to_line_end = peek(1) == '/';
        step();
        step();
        while (!at_end()) {
            if (to_line_end ? peek() == '\n' : (peek() == '*' && peek(1) == '/')) break;
            step();
        }
        if (!to_line_end) {
            step();
            step();
        }
    }

    std::string_view text_;
    const std::vector<TextPlace>* places_;
    std::size_t at_ = 0;
    TextPlace place_{1, 1};
};

}  // namespace

void set_places(const std::string& text, JsonNode& root, const std::vector<TextPlace>* places) {
    Scanner(text, places).visit(root);
}

std::vector<TextPlace> places_of(const std::string& text) {
    Scanner scanner(text);
    std::vector<TextPlace> places(scanner.byte(), scanner.place());  // of a byte order mark
    while (!scanner.at_end()) {
        places.push_back(scanner.place());
        scanner.step();
    }
    places.push_back(scanner.place());
    return places;
}

TextPlace place_of_byte(const std::string& text, std::size_t byte) {
    Scanner scanner(text);
    while (!scanner.at_end() && scanner.byte() < byte) scanner.step();
    return scanner.place();
}

}  // namespace drumwatch
