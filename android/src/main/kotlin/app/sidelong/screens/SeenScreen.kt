package app.sidelong.screens

import sidelong.core.*

/** What could have been seen so far, panel by panel, and where to look from next. */
class SeenScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    val form = BodyForm.valueOf(about("form"))
    val ways = Ways(desk, page)
    val ground: DrawingView get() = Drawings.ground(form, desk.language)
    val drawing: DrawingView get() = Drawings.of(form, null, desk.language)
    var now: LookedNow? = null
        private set
    var next: NextNow? = null
        private set

    /** The lights with which one goes from place to place; the first is offered until another is chosen. */
    val lights get() = listOf(Light.POINT, Light.SUN).map { it to it.text(desk.language) }
    val light get() = lights.map { it.first }.firstOrNull { it.name == typed(LIGHT) } ?: Light.POINT

    /** Sides that a person walks along. */
    val sides get() = WholeSide.entries.filter { it != WholeSide.TOP }.map { it to it.text(desk.language) }

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> core.lookedNow(job, null, language) }) { now = it; changed() }
        askNext()
    }

    private fun askNext() {
        val (job, light, blocked) = Triple(job, light, ways.blocked.toList())
        val language = desk.language
        desk.ask({ core -> core.nextNow(job, light, blocked, language) }) { next = it; changed() }
    }

    fun light(light: Light) { type(LIGHT, light.name); askNext() }

    /** Nobody can stand on this side; again: one can. */
    fun blocked(side: WholeSide) {
        ways.blocked = if (side in ways.blocked) ways.blocked - side else ways.blocked + side
        changed()
        askNext()
    }

    fun sun() = desk.go(Page(Names.SUN, "job" to job))

    private companion object {
        const val LIGHT = "light"
    }
}

/** Where on earth the vehicle stands, and what the sun can do for it now and today. */
class SunScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val ways = Ways(desk, page)
    val text get() = typed(TEXT) ?: ""

    /** What was typed is no place, or the phone knows none. */
    var wrong = false
        private set
    var noneFound = false
        private set
    val place get() = ways.earth?.let(::earthText)
    var lines: List<String> = emptyList()
        private set
    val sides get() = WholeSide.entries.filter { it != WholeSide.TOP }.map { it to it.text(desk.language) }
    val shade get() = WholeSide.entries.firstOrNull { it.name == typed(SHADE) }

    override fun look() {
        val (job, earth, blocked) = Triple(about("job"), ways.earth, ways.blocked.toList())
        val (shade, language) = shade to desk.language
        desk.ask({ core -> core.sunNow(job, earth, blocked, shade, language) }) { lines = it; changed() }
    }

    fun write(text: String) {
        page.typed[TEXT] = text
        desk.keep()
    }

    fun typedPlace() = stands(earthTyped(text), { wrong = it })

    /** From the phone itself, which asks the person whether it may. */
    fun fromPhone() = desk.place { earth -> stands(earth) { noneFound = it } }

    private fun stands(earth: Earth?, none: (Boolean) -> Unit) {
        wrong = false
        noneFound = false
        none(earth == null)
        if (earth != null) ways.earth = earth
        look()
    }

    fun shade(side: WholeSide) { type(SHADE, if (shade == side) null else side.name); look() }

    private companion object {
        const val TEXT = "text"
        const val SHADE = "shade"
    }
}
