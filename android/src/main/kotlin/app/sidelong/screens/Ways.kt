package app.sidelong.screens

import sidelong.core.*

/** How looks are made from here on. It is kept with the walk's page: what holds at one place holds at the next, until it is said anew. */
class Ways(private val desk: Desk, page: Page) {
    private val walk = generateSequence(page, desk::below).firstOrNull { it.name == Names.WALK }

    operator fun get(name: String): String? = walk?.about?.get(name)
    operator fun set(name: String, value: String?) {
        val about = walk?.about ?: return
        if (value == null) about.remove(name) else about[name] = value
        desk.keep()
    }

    val light get() = Light.entries.firstOrNull { it.name == this[HowScreen.LIGHT] }
    val distance get() = Distance.entries.firstOrNull { it.name == this[HowScreen.DISTANCE] }
    val surface get() = Surface.entries.firstOrNull { it.name == this[HowScreen.SURFACE] }
    val way get() = WayOfLooking.entries.firstOrNull { it.name == this[WAY] } ?: WayOfLooking.STANDING
    val ambient get() = Ambient.entries.firstOrNull { it.name == this[AMBIENT] }
    val spent get() = spentOffered().firstOrNull { it.spentMs.toString() == this[SPENT] }

    /** Whether a look goes along the whole side, or is at one place only. */
    var wholeSide: Boolean
        get() = this[WHOLE_SIDE] != null
        set(yes) { this[WHOLE_SIDE] = if (yes) WHOLE_SIDE else null }

    /** Whether a point lamp is the phone's own, followed by its sensor. */
    var swept: Boolean
        get() = this[SWEPT] != null
        set(yes) { this[SWEPT] = if (yes) SWEPT else null }

    /** Sides where nobody can stand. */
    var blocked: Set<WholeSide>
        get() = WholeSide.entries.filter { it.name in (this[BLOCKED] ?: "").split(' ') }.toSet()
        set(sides) { this[BLOCKED] = sides.joinToString(" ") { it.name }.ifEmpty { null } }

    /** Where on earth, if it was said on this phone. */
    var earth: Earth?
        get() = desk.settings[EARTH]?.split(' ')?.mapNotNull { it.toIntOrNull() }?.takeIf { it.size == 2 }?.let { Earth(it[0], it[1], null) }
        set(place) { desk.settings[EARTH] = place?.let { "${it.latUdeg} ${it.lonUdeg}" } }

    /** All of it, to read. */
    fun texts(): List<String> = listOfNotNull(
        light?.text(desk.language), way.text(desk.language), surface?.text(desk.language), ambient?.text(desk.language),
        distance?.text(desk.language), spent?.text,
    )

    companion object {
        const val WAY = "way"
        const val AMBIENT = "ambient"
        const val SPENT = "spent"
        const val EARTH = "earth"
        private const val WHOLE_SIDE = "whole-side"
        private const val SWEPT = "swept"
        private const val BLOCKED = "blocked"
    }
}

/** How looks are made: what is not said is unknown, and unknown counts as not seen. */
class LookHowScreen(desk: Desk, page: Page) : ChoiceScreen(desk, page) {
    private val ways = Ways(desk, page)

    override val questions: List<Question> get() = listOf(
        Question(HowScreen.LIGHT, Light.entries.map { it.name to it.text(desk.language) }, ways[HowScreen.LIGHT]),
        Question(Ways.WAY, WayOfLooking.entries.map { it.name to it.text(desk.language) }, ways.way.name),
        Question(HowScreen.SURFACE, Surface.entries.map { it.name to it.text(desk.language) }, ways[HowScreen.SURFACE]),
        Question(Ways.AMBIENT, Ambient.entries.map { it.name to it.text(desk.language) }, ways[Ways.AMBIENT]),
        Question(HowScreen.DISTANCE, Distance.entries.map { it.name to it.text(desk.language) }, ways[HowScreen.DISTANCE]),
        Question(Ways.SPENT, spentOffered().map { it.spentMs.toString() to it.text }, ways[Ways.SPENT]),
    )

    override fun answer(question: String, answer: String) {
        ways[question] = answer.takeIf { it != ways[question] }
        changed()
    }
}
