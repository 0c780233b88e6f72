package app.sidelong.screens

import java.io.File
import sidelong.core.*

/** What the owner keeps off until when, when to look again, how the car is used; and all of it for the owner's calendar. */
class AftercareScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    var cure: List<CureView>? = null
        private set
    var work: WorkView? = null
        private set

    /** As it was said last. */
    private var used: CarUse? = null

    /** Whether there is a date for a calendar. */
    val dated get() = cure?.isNotEmpty() == true || work?.lookAgain?.isNotEmpty() == true
    val sleeps: Sleeps? get() = if (SLEEPS in page.typed) Sleeps.entries.firstOrNull { it.name == typed(SLEEPS) } else used?.sleeps
    val washed: WashHabit? get() = if (WASHED in page.typed) WashHabit.entries.firstOrNull { it.name == typed(WASHED) } else used?.washed
    val heat get() = typed(HEAT)?.let { it == YES } ?: used?.heat ?: false
    val salt get() = typed(SALT)?.let { it == YES } ?: used?.salt ?: false
    val km get() = typed(KM) ?: used?.kmAYear?.toString() ?: ""
    val age get() = typed(AGE) ?: used?.ageYears?.toString() ?: ""

    /** True when it was to be saved with something that is no number. */
    var wrong = false
        private set

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> Triple(core.cureClocks(job, language), core.work(job, language), core.workNow(job, language).used) }) { (cure, work, used) ->
            this.cure = cure
            this.work = work
            this.used = used
            changed()
        }
    }

    fun sleeps(at: Sleeps) = type(SLEEPS, if (sleeps == at) "" else at.name)
    fun washed(by: WashHabit) = type(WASHED, if (washed == by) "" else by.name)
    fun heat() = type(HEAT, if (heat) NO else YES)
    fun salt() = type(SALT, if (salt) NO else YES)
    fun km(text: String) { page.typed[KM] = text; desk.keep() }
    fun age(text: String) { page.typed[AGE] = text; desk.keep() }

    fun saveUse() {
        val (km, age) = km.trim().ifEmpty { null } to age.trim().ifEmpty { null }
        wrong = (km != null && km.toUIntOrNull() == null) || (age != null && age.toUIntOrNull() == null)
        if (wrong) return changed()
        val use = CarUse(kmAYear = km?.toUInt(), sleeps = sleeps, washed = washed, heat = heat, salt = salt, ageYears = age?.toUInt())
        desk.record(page, job, Act.RecordUse(use)) { look() }
    }

    /** Hands the due dates to a program that the person chooses: the owner's own calendar reads them. */
    fun share() {
        val (job, language) = job to desk.language
        val file = File(desk.shares, "aftercare.ics")
        desk.ask({ core -> file.writeText(core.calendar(job, language)); file }) { desk.share(it, "text/calendar") }
    }

    private companion object {
        const val SLEEPS = "sleeps"
        const val WASHED = "washed"
        const val HEAT = "heat"
        const val SALT = "salt"
        const val KM = "distance"
        const val AGE = "age"
        const val YES = "yes"
        const val NO = "no"
    }
}
