// Things that are told in rows (Card::rest draws them).
#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {

void closeup_pump(Card&) {}
void closeup_filter(Card&) {}
void closeup_electrode(Card&) {}
void closeup_stack(Card&) {}
void closeup_array(Card&) {}
void closeup_strainer(Card&) {}
void closeup_joint(Card&) {}
void closeup_hose(Card&) {}
void closeup_return_hose(Card&) {}
void closeup_sewer(Card&) {}
void closeup_supply(Card&) {}

}  // namespace wetrun::ui
