// What json_mender notes on its way through a text that is not JSON: mistakes with their places, and the
// edits that mend them. Pure.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "files/json_mender.hpp"
#include "files/json_tokens.hpp"

namespace drumwatch {

class JsonRepairs {
  public:
    /// `text` must outlive it.
    explicit JsonRepairs(const std::string& text);

  protected:
    /// What comes next; comments after # are mended on the way.
    JsonToken peek();
    void take(const JsonToken& token) { at_ = token.end(); }
    JsonToken after(const JsonToken& token) const { return json_token(text_, token.end()); }

    void complain(const JsonToken& token, const std::string& pointer, const std::string& sentence);
    /// At `token` no repair is obvious. False.
    bool stop(const JsonToken& token, const std::string& pointer, std::string sentence);
    /// Whatever was expected: `token` is where it stops, which has been said then.
    bool breaks_off(const JsonToken& token, const std::string& pointer);
    /// True: it was, as has been said.
    bool too_many(const JsonToken& token);

    // Each complains, notes the edit and takes what was mended; true.
    bool remove(const JsonToken& token, const std::string& pointer, const std::string& sentence);
    bool replace(const JsonToken& token, const std::string& pointer, const std::string& sentence,
                 std::string right);
    /// Complains and takes nothing.
    void insert(const JsonToken& before, const std::string& pointer, const std::string& sentence,
                std::string inserted);
    /// The same with a null in what is inserted, in the place of the value at `pointer`.
    void stand_in(const JsonToken& before, const std::string& pointer, const std::string& sentence,
                  std::string inserted);
    /// Of a piece that was taken, with nothing said.
    void take_out(const JsonToken& taken) { edit(taken.begin, taken.text.size(), ""); }

    MendedJson ended(bool whole);

  private:
    struct Edit {
        std::size_t begin = 0;
        std::size_t removed = 0;
        std::string inserted;
    };
    void edit(std::size_t begin, std::size_t removed, std::string inserted);
    bool runs_on(const JsonToken& token) const;
    void apply_edits();

    const std::string& text_;
    std::vector<TextPlace> places_;
    std::size_t at_ = 0;
    std::vector<Edit> edits_;
    MendedJson mended_;
};

}  // namespace drumwatch
