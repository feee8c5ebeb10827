#pragma once
// What may stand in names, and how text from outside is shown: nothing that a user reads may steer the terminal.

#include <string>
#include <string_view>

namespace brinecast::sim {

bool valid_utf8(std::string_view text);

/// Whether UTF-8 text holds control characters: U+0000 to U+001F, U+007F to U+009F.
bool holds_control(std::string_view text);

/// The text with control characters, and bytes that are not UTF-8, written as \xNN.
std::string printable(std::string_view text);

/// Why a text cannot be a name, and the remedy; "" when it can. Names are told apart by eye and typed on command lines.
std::string name_problem(std::string_view name);

}  // namespace brinecast::sim
