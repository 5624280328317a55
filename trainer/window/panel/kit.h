// The tools every panel draws with: type, colour, scale, and the log of what was put where.
//
// The look: ink on warm paper, like a drawing on a workshop bench. Equipment is drawn in greys with a little shading; colour
// is kept for what is abnormal (vermilion with a shape of its own, so that it is not colour alone), for what a hand can
// take hold of (teal), and for liquids. One type family (Lato, whose figures are all of one width).
#pragma once
#include <imgui.h>

#include <array>
#include <string>
#include <string_view>

#include "trainer/window/panel/boxes.h"
#include "trainer/window/view/geometry.h"

namespace wetrun::ui {

/// Text styles. Pixel sizes (of the em; a line is 1.2 of it) at scale 1: small 12, body 14.5, strong 14.5 bold, title 20
/// bold, display 30 bold.
enum class Type { small, body, strong, title, display };

struct Palette {
  ImU32 paper = IM_COL32(0xF1, 0xEC, 0xE2, 0xFF);        // the bench: behind everything
  ImU32 sheet = IM_COL32(0xFB, 0xF8, 0xF2, 0xFF);        // panels
  ImU32 sheet_shade = IM_COL32(0xE9, 0xE3, 0xD7, 0xFF);  // wells, pressed, bars
  ImU32 rule = IM_COL32(0xCF, 0xC7, 0xB8, 0xFF);         // hairlines
  ImU32 ink = IM_COL32(0x1E, 0x2A, 0x33, 0xFF);          // text, outlines
  ImU32 ink_soft = IM_COL32(0x55, 0x61, 0x69, 0xFF);     // second text (contrast 5.6:1 on sheet)
  ImU32 ink_faint = IM_COL32(0x9A, 0xA1, 0xA3, 0xFF);    // ticks, disabled
  ImU32 steel_light = IM_COL32(0xF0, 0xF2, 0xF2, 0xFF);  // equipment, lit side
  ImU32 steel = IM_COL32(0xD6, 0xDB, 0xDC, 0xFF);
  ImU32 steel_dark = IM_COL32(0xA9, 0xB3, 0xB7, 0xFF);  // shaded side
  ImU32 hand = IM_COL32(0x0F, 0x6B, 0x70, 0xFF);        // what a hand can take hold of; chosen; links
  ImU32 hand_soft = IM_COL32(0xCF, 0xE3, 0xE1, 0xFF);
  ImU32 alarm = IM_COL32(0xC8, 0x41, 0x14, 0xFF);  // abnormal, dangerous
  ImU32 alarm_soft = IM_COL32(0xF6, 0xD9, 0xCC, 0xFF);
  ImU32 caution = IM_COL32(0xC9, 0x8A, 0x06, 0xFF);  // look here
  ImU32 caution_soft = IM_COL32(0xF8, 0xE9, 0xC4, 0xFF);
  ImU32 water = IM_COL32(0x8F, 0xC1, 0xD3, 0xFF);      // clear water seen through glass
  ImU32 lamp_dark = IM_COL32(0x6E, 0x73, 0x70, 0xFF);  // a lamp that is off
  ImU32 lamp_run = IM_COL32(0x2E, 0x8B, 0x57, 0xFF);
  /// Chart pens: told apart by colour-blind people too (after Okabe & Ito 2008, "Color universal design"), and each
  /// pen also has its own dash.
  std::array<ImU32, 6> pen = {IM_COL32(0x00, 0x72, 0xB2, 0xFF), IM_COL32(0xD5, 0x5E, 0x00, 0xFF),
                              IM_COL32(0x00, 0x7F, 0x5C, 0xFF), IM_COL32(0xB0, 0x55, 0x8C, 0xFF),
                              IM_COL32(0x4A, 0x4A, 0x4A, 0xFF), IM_COL32(0xA8, 0x83, 0x00, 0xFF)};
};

struct Kit {
  float scale = 1;
  Palette colour;
  std::array<ImFont*, 5> fonts{};  // by Type, already at their pixel size
  Boxes* boxes = nullptr;          // never empty while a frame is drawn
  double wall_s = 0;               // for animation only; goes on in beats, so that not every frame has to be painted
  bool calm = false;               // no animation: pictures for README and tests are the same each time

  float px(float at_scale_1) const { return at_scale_1 * scale; }
  ImFont* font(Type type) const { return fonts[static_cast<std::size_t>(type)]; }
};

enum class Align { left, middle, right };

/// Width and height of one line of text, or of text wrapped at `wrap` pixels.
ImVec2 measure(const Kit& kit, Type type, std::string_view text, float wrap = 0);

/// The text with line breaks where it is broken at `wrap` pixels: between words, and not between a number and its unit.
std::string wrapped(const Kit& kit, Type type, std::string_view text, float wrap);

/// Text drawn at a place: `at` is the left, middle or right of its top edge. Logged as `name` (kind text) if not empty, to
/// lie within `within` (default: the draw list's clip rectangle).
void put_text(Kit& kit, ImDrawList& list, Type type, Point at, ImU32 colour, std::string_view text,
              Align align = Align::left, const std::string& name = "", float wrap = 0);

/// A panel: a borderless window at `place` with a title line ("" : none). Everything until end_panel() is inside it.
/// Scrolls if `scrolls` and the content is longer. Within a pushed layer of Boxes it is a pop-up: in front, with a shadow.
/// end_panel() is always called, also after false.
bool begin_panel(Kit& kit, const std::string& name, const Box& place, const std::string& title = "",
                 bool scrolls = false);
void end_panel(Kit& kit);

// Widgets in the flow of a panel, each logged under its name. They wrap Dear ImGui's own.
void text(Kit& kit, Type type, std::string_view words, ImU32 colour = 0 /* ink */, const std::string& name = "");
/// Wrapped at the right edge of the panel.
void paragraph(Kit& kit, Type type, std::string_view words, ImU32 colour = 0, const std::string& name = "");
enum class Weight { quiet, normal, main, danger };
/// width 0: as wide as its label; -1: to the right edge.
bool button(Kit& kit, const std::string& name, const std::string& label, Weight weight = Weight::normal,
            float width = 0, bool enabled = true);
/// One of several, side by side (and wrapped if there is no room). Returns true when the choice changed.
bool choice(Kit& kit, const std::string& name, const std::vector<std::string>& labels, std::size_t& chosen);
bool tick(Kit& kit, const std::string& name, const std::string& label, bool& value);
bool slider(Kit& kit, const std::string& name, const std::string& label, float& value, float low, float high,
            const char* format);
/// One line of typed text; true when Enter was pressed.
bool entry(Kit& kit, const std::string& name, std::string& value, float width, const std::string& hint = "");
void hairline(Kit& kit);
void gap(Kit& kit, float at_scale_1 = 8);
/// What a list that scrolls goes on with beyond its upper and lower edge fades out there. Last in the list.
void soft_edges(Kit& kit);
/// A box with a shape (triangle with !) and words: what is dangerous or abnormal.
void warning(Kit& kit, std::string_view words, bool danger);

/// A colour between two, t from 0 to 1; and the same colour with another opacity.
ImU32 blend(ImU32 a, ImU32 b, float t);
ImU32 fade(ImU32 colour, float opacity);
inline ImVec2 vec(Point p) { return {p.x, p.y}; }

/// ImGui's own style from the palette and the scale.
void set_style(const Kit& kit);
/// Loads the fonts at a scale into ImGui's atlas (old ones are dropped; the texture must be made anew by the caller).
/// Throws InputError: folder has not the fonts, naming the Debian package that has them.
void load_fonts(Kit& kit, const std::string& folder);
/// Where the fonts are: WETRUN_FONTS, else where Debian puts them.
std::string font_folder();
/// The scale for a window: 1 at 1280x800, about 1.35 at 1920x1080, 2.7 at 3840x2160, times the user's text scale.
float scale_for(float width, float height, float text_scale);
/// The smallest type worth drawing into a picture, whatever the text size: 8 px at 1280x800.
float least_type();

}  // namespace wetrun::ui
