package app.sidelong.screens

import sidelong.core.*

/**
 * A mark: the stroke is drawn, now what it is. One touch on its kind puts it on record; catch and size may be said
 * before that, and may be left out.
 */
class MarkScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val kinds: List<Pair<MarkKind, String>> = kindsOffered(BodyForm.valueOf(about("form")), about("panel")).map { it to it.text(desk.language) }
    val panelName = panelName(about("panel"), desk.language)
    val catches get() = Catch.entries.map { it to it.text(desk.language) }
    val catch get() = Catch.entries.firstOrNull { it.name == typed("catch") }

    /** The size in millimetres as it was typed. */
    val size get() = typed("size") ?: ""

    /** Whether what was typed is a size; an empty field says nothing and is well. */
    val sizeReads get() = size.isBlank() || lengthTypedUm(size) != null

    override fun look() = changed()

    fun catches(catch: Catch) = type("catch", if (this.catch == catch) null else catch.name)
    fun sized(text: String) {
        page.typed["size"] = text
        desk.keep()
    }

    /** It is this: on record. */
    fun isKind(kind: MarkKind) {
        if (!sizeReads) return changed()
        val to = page.about["to-u"]?.let { Spot(it.toUInt(), about("to-v").toUInt()) }
        val length = lengthTypedUm(size)
        val mark = Description(
            panel = about("panel"),
            from = Spot(about("u").toUInt(), about("v").toUInt()),
            to = to,
            kind = kind,
            catch = catch,
            lengthUm = length,
            measured = if (length != null) Measured.BY_EYE else if (to != null) Measured.STROKE else null,
        )
        val walk = desk.below(page)
        desk.record(page, about("job"), Act.RecordMark(RecordMark(mark = mark))) { changes ->
            WalkScreen.made(walk, changes, WalkScreen.Said.MARK)
            desk.back()
        }
    }
}
