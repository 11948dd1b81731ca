"""What the class sees in a turn: hearing and counting, writing, reading, rhymes, the end; one a module.

In come turns, time and, on paper, the pen; out come a still page, marks and a tip, as for any scene. The wall
says sounds, words and cues; what is to be done is the teacher's to say, and stands in the caption.
"""
